"""Measures about the mean COP of the whole trial.

The mean is known only at the end, so these are offline: a live twin about some fixed point would
be another measure. Prieto et al., IEEE Trans Biomed Eng 1996;43:956-966.

Limits: a slow drift of the mean, or one step to the side, enlarges distance and area rate though
the sway is the same; the area rate grows with rate, cut-off and noise as the path does; and the
mean frequency is that of a circle, a ratio of speed to size: it is no peak of a spectrum.
"""

from __future__ import annotations

import math

import numpy as np

from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags, bridged
from swaytrainer.sway.spread import centre

Middle = tuple[float, float]


def distances_mm(x_mm: Array, y_mm: Array, middle_mm: Middle | None = None) -> Array:
    """Shape (N,): d, each sample's distance (mm) from the mean COP; NaN where there is no COP.

    Args:
        x_mm, y_mm: shape (N,); NaN where there is no COP.
        middle_mm: their ``spread.centre``, if it is known already.

    >>> distances_mm(np.array([3.0, -3.0]), np.array([4.0, -4.0])).tolist()
    [5.0, 5.0]
    """
    x0, y0 = middle_mm or centre(x_mm, y_mm)
    x, y = x_mm - x0, y_mm - y0
    d: Array = np.sqrt(x * x + y * y)
    return d


def mean_distance_mm(x_mm: Array, y_mm: Array, middle_mm: Middle | None = None) -> float:
    """Mean of d over the samples that have a COP; NaN without one. As ``distances_mm``.

    >>> mean_distance_mm(np.array([3.0, -3.0]), np.array([4.0, -4.0]))
    5.0
    """
    d = distances_mm(x_mm, y_mm, middle_mm)
    there = ~np.isnan(d)
    if not there.any():
        return NAN
    return float((d if there.all() else d[there]).mean())


def sway_area_rate_mm2_s(
    time_s: Array,
    x_mm: Array,
    y_mm: Array,
    breaks: Flags | None = None,
    middle_mm: Middle | None = None,
) -> float:
    """Area swept a second about the mean: Σ ½·|(p(i) - c) × (p(i+1) - c)| / T.

    The sum and T run over the intervals that count.

    Args:
        time_s, x_mm, y_mm: shape (N,); NaN in x and y where there is no COP.
        breaks: shape (N,), see ``gaps.bridged``.
        middle_mm: as for ``distances_mm``.

    Returns:
        NaN if no interval counts.

    >>> square = np.array([1.0, 1.0, -1.0, -1.0]), np.array([-1.0, 1.0, 1.0, -1.0])
    >>> sway_area_rate_mm2_s(np.arange(4.0), *square)  # a quarter of the square each second
    1.0
    """
    whole = bridged(x_mm, breaks)
    if not whole.any():
        return NAN
    x0, y0 = middle_mm or centre(x_mm, y_mm)
    x, y = x_mm - x0, y_mm - y0
    triangles, steps_s = np.abs(x[:-1] * y[1:] - x[1:] * y[:-1]), np.diff(time_s)
    if not whole.all():
        triangles, steps_s = triangles[whole], steps_s[whole]
    return 0.5 * float(triangles.sum()) / float(steps_s.sum())


def mean_frequency_hz(mean_speed_mm_s: float, mean_distance_mm: float) -> float:
    """Turns a second on a circle of the mean distance's radius at the mean speed.

    Returns:
        NaN if the distance is 0 or NaN.

    >>> round(mean_frequency_hz(2.0 * math.pi, 1.0), 12)
    1.0
    """
    if not mean_distance_mm > 0.0:
        return NAN
    return mean_speed_mm_s / (2.0 * math.pi * mean_distance_mm)
