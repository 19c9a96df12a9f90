"""The 95 % prediction ellipse: where 95 of 100 further COP samples are expected.

Not the confidence ellipse of the mean, which shrinks with the number of samples and says nothing
about sway: Schubert & Kirchner, Gait & Posture 2014;39:518-522. Live, it follows from the
covariance of ``spread.Spread``, so it needs no form of its own.

Limits: 95 of 100 holds for a cloud that is Gaussian in both axes; sway with a step or a drift in it
is not, and gets a large ellipse. A trial's area repeats poorly (a change below 50 to 190 % of it
may be another day, open trials of Santos & Duarte 2016): show it, don't mark it. The angle means
little where the axes are nearly equal.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from swaytrainer.sway.cop import NAN

#: 95 % quantile of χ² with two degrees of freedom, which has a closed form: -2·ln(1 - 0.95).
CHI2_95_2 = -2.0 * math.log(0.05)


class Ellipse(NamedTuple):
    """Area (mm²), semi-axes (mm), and the angle of the major axis.

    The angle is in degrees, counter-clockwise from +x as seen from above, in (-90, 90]; 90 is a
    sway straight forward and back. It is NaN if Σ is the same in all directions.
    """

    ellipse_area_mm2: float
    ellipse_major_mm: float
    ellipse_minor_mm: float
    ellipse_angle_deg: float


def prediction_ellipse(covariance_mm2: tuple[float, float, float]) -> Ellipse:
    """The asymptotic form, area π·χ²·√det Σ: the one that the tables give.

    Args:
        covariance_mm2: var x, var y, cov xy with 1/(N-1), as from ``SpreadValues``.

    Returns:
        All NaN if the covariance is.

    >>> prediction_ellipse((4.0, 9.0, 0.0))
    Ellipse(ellipse_area_mm2=112.93..., ellipse_major_mm=7.343...,
            ellipse_minor_mm=4.895..., ellipse_angle_deg=90.0)
    """
    var_x, var_y, cov = covariance_mm2
    if math.isnan(var_x):
        return Ellipse(NAN, NAN, NAN, NAN)
    middle = 0.5 * (var_x + var_y)
    apart = math.hypot(0.5 * (var_x - var_y), cov)
    large = middle + apart
    det = max(var_x * var_y - cov * cov, 0.0)  # rounding may take a straight line below zero
    small = det / large if large > 0.0 else 0.0
    angle = NAN if apart == 0.0 else 0.5 * math.degrees(math.atan2(2.0 * cov, var_x - var_y))
    return Ellipse(
        math.pi * CHI2_95_2 * math.sqrt(det),
        math.sqrt(CHI2_95_2 * large),
        math.sqrt(CHI2_95_2 * small),
        90.0 if angle <= -90.0 else angle,
    )


def finite_sample_factor(samples: int) -> float:
    """What the area of ``prediction_ellipse`` is times, if Σ is known from N samples only.

    2(N-1)(N+1) / (N(N-2)) · F(0.95; 2, N-2) / χ², the F distribution's quantile in its closed
    form for two degrees of freedom; some published tables use it. It supposes N independent
    samples, which neighbouring COP samples are not, so the tables here do without.

    Returns:
        NaN below three samples.

    >>> round(finite_sample_factor(6000), 6)
    1.000833
    """
    if samples < 3:
        return NAN
    n = samples
    half = 0.5 * (n - 2)
    f_95 = half * math.expm1(-math.log(0.05) / half)
    return 2.0 * (n - 1) * (n + 1) / (n * (n - 2)) * f_95 / CHI2_95_2
