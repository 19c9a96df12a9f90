from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from swaytrainer.sway.ellipse import CHI2_95_2, finite_sample_factor, prediction_ellipse
from swaytrainer.sway.spread import spread
from tests.sway.made import circle


def test_quantile_is_scipys() -> None:
    assert pytest.approx(stats.chi2.ppf(0.95, 2), rel=1e-12) == CHI2_95_2


def test_circle() -> None:
    """5.991·π·R²/2·N/(N-1) (Schubert & Kirchner 2014 with Σ of a circle)."""
    walk = circle(radius_mm=10.0)
    ellipse = prediction_ellipse(spread(walk.x_mm, walk.y_mm).covariance_mm2)
    expected = CHI2_95_2 * math.pi * 100.0 / 2.0 * 6000 / 5999
    assert ellipse.ellipse_area_mm2 == pytest.approx(expected, rel=1e-12)
    assert expected == pytest.approx(9.41 * 100.0, rel=1e-3)


@given(st.floats(-89.9, 90.0), st.floats(0.1, 50.0), st.floats(0.05, 0.95))
def test_axes_and_angle_of_a_turned_ellipse(angle: float, large: float, ratio: float) -> None:
    small = large * ratio
    turn = math.radians(angle)
    c, s = math.cos(turn), math.sin(turn)
    covariance = (
        (large * c) ** 2 + (small * s) ** 2,
        (large * s) ** 2 + (small * c) ** 2,
        (large**2 - small**2) * c * s,
    )
    ellipse = prediction_ellipse(covariance)
    scale = math.sqrt(CHI2_95_2)
    assert ellipse.ellipse_major_mm == pytest.approx(scale * large, rel=1e-9)
    assert ellipse.ellipse_minor_mm == pytest.approx(scale * small, rel=1e-9)
    assert ellipse.ellipse_area_mm2 == pytest.approx(
        math.pi * ellipse.ellipse_major_mm * ellipse.ellipse_minor_mm, rel=1e-9
    )
    apart = (ellipse.ellipse_angle_deg - angle + 90.0) % 180.0 - 90.0
    assert apart == pytest.approx(0.0, abs=1e-6)
    assert -90.0 < ellipse.ellipse_angle_deg <= 90.0


def test_forward_and_back_is_90_whatever_the_sign_of_a_zero() -> None:
    assert prediction_ellipse((1.0, 4.0, 0.0)).ellipse_angle_deg == 90.0
    assert prediction_ellipse((1.0, 4.0, -0.0)).ellipse_angle_deg == 90.0
    assert prediction_ellipse((4.0, 1.0, 0.0)).ellipse_angle_deg == 0.0


@given(st.floats(-90.0, 90.0))
def test_a_line_has_no_area(angle: float) -> None:
    along = np.linspace(-30.0, 30.0, 101)
    turn = math.radians(angle)
    x, y = along * math.cos(turn), along * math.sin(turn)
    ellipse = prediction_ellipse(spread(x, y).covariance_mm2)
    # √ of a rounding error of Σ's determinant: 1e-7 of the square of the length at most.
    assert ellipse.ellipse_area_mm2 == pytest.approx(0.0, abs=1e-7 * 60.0**2)


def test_it_predicts_95_of_100() -> None:
    """What the name says: of fresh normal samples 95 % lie inside (binomial, five deviations)."""
    rng = np.random.default_rng(11)
    mix = np.array([[3.0, 0.0], [2.0, 1.0]])
    x, y = mix @ rng.normal(size=(2, 50_000))
    var_x, var_y, cov = spread(x, y).covariance_mm2
    fresh = mix @ rng.normal(size=(2, 50_000))
    inverse = np.linalg.inv(np.array([[var_x, cov], [cov, var_y]]))
    inside = np.einsum("in,ij,jn->n", fresh, inverse, fresh) <= CHI2_95_2
    assert inside.mean() == pytest.approx(0.95, abs=5.0 * math.sqrt(0.95 * 0.05 * 2 / 50_000))


@pytest.mark.parametrize("samples", [3, 10, 400, 6000])
def test_finite_form_is_that_of_the_f_distribution(samples: int) -> None:
    """π·√det Σ·2(N-1)(N+1)/(N(N-2))·F(0.95; 2, N-2): Schubert & Kirchner 2014."""
    n = samples
    quantile = stats.f.ppf(0.95, 2, n - 2)
    expected = 2.0 * (n - 1) * (n + 1) / (n * (n - 2)) * quantile / CHI2_95_2
    assert finite_sample_factor(samples) == pytest.approx(expected, rel=1e-9)


def test_too_few_samples_are_nan() -> None:
    assert math.isnan(finite_sample_factor(2))
    assert all(math.isnan(value) for value in prediction_ellipse((math.nan,) * 3))
