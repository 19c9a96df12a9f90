from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.feet import Feet

_shift = st.floats(-150.0, 150.0)


@given(st.floats(0.0, 600.0), st.floats(0.1, 600.0), st.floats(0.0, 600.0))
def test_the_lever_rule_gives_back_how_the_load_was_split(
    heels_n: float, balls_n: float, right_n: float
) -> None:
    """Moments of loads at known places (Archimedes): shares come back as they went in."""
    feet = Feet(-70.0, 52.0, -90.0, 85.0)
    toes = 100.0 * balls_n / (heels_n + balls_n)
    y = (heels_n * -70.0 + balls_n * 52.0) / (heels_n + balls_n)
    assert feet.toe_share_percent(y) == pytest.approx(toes, abs=1e-9)
    left_n = balls_n
    x = (left_n * -90.0 + right_n * 85.0) / (left_n + right_n)
    right = 100.0 * right_n / (left_n + right_n)
    assert feet.right_share_percent(x) == pytest.approx(right, abs=1e-9)


@given(_shift, _shift, st.floats(-100.0, 100.0), st.floats(-100.0, 100.0))
def test_it_does_not_matter_where_the_feet_stand(
    right_by: float, forward_by: float, x: float, y: float
) -> None:
    here = Feet.from_length(230.0, 170.0, heel_line_y_mm=-110.0)
    there = Feet.from_length(230.0, 170.0, heel_line_y_mm=-110.0 + forward_by, middle_x_mm=right_by)
    assert there.toe_share_percent(y + forward_by) == pytest.approx(
        here.toe_share_percent(y), abs=1e-9
    )
    assert there.right_share_percent(x + right_by) == pytest.approx(
        here.right_share_percent(x), abs=1e-9
    )


def test_arrays_and_numbers_agree() -> None:
    feet = Feet(-70.0, 50.0, -80.0, 80.0)
    y = np.array([-70.0, -10.0, 50.0, math.nan])
    assert feet.toe_share_percent(y) == pytest.approx([0.0, 50.0, 100.0, math.nan], nan_ok=True)
    assert feet.right_share_percent(np.array([-80.0, 0.0, 80.0])).tolist() == [0.0, 50.0, 100.0]


@pytest.mark.parametrize(
    ("lines", "what"),
    [
        ((50.0, 50.0, -80.0, 80.0), "in front of"),
        ((50.0, -70.0, -80.0, 80.0), "in front of"),
        ((-70.0, 50.0, 80.0, -80.0), "to the right of"),
        ((-70.0, math.nan, -80.0, 80.0), "must be numbers"),
        ((-70.0, 50.0, -math.inf, 80.0), "must be numbers"),
    ],
)
def test_impossible_feet_are_refused(lines: tuple[float, ...], what: str) -> None:
    with pytest.raises(SwaytrainerError, match=what):
        Feet(*lines)


def test_a_foot_without_length_is_refused() -> None:
    with pytest.raises(SwaytrainerError, match="in front of"):
        Feet.from_length(0.0, 170.0, heel_line_y_mm=0.0)
    with pytest.raises(SwaytrainerError, match="stance width above zero"):
        Feet.from_length(230.0, 0.0, heel_line_y_mm=0.0)


@pytest.mark.parametrize("share", [0.0, 40.0, 100.0])
def test_the_share_s_uncertainty_covers_drawn_errors_of_the_lines(share: float) -> None:
    """GUM JCGM 100:2008 5.1.2 against drawing: 95 % of the drawn shares lie within it."""
    u = 2.5
    feet = Feet(-70.0, 70.0, -90.0, 90.0, u, 6.0)
    y = -70.0 + 1.4 * share
    x = -90.0 + 1.8 * share
    rng = np.random.default_rng(6)
    heel, ball = rng.normal(-70.0, u, 40_000), rng.normal(70.0, u, 40_000)
    left, right = rng.normal(-90.0, 6.0, 40_000), rng.normal(90.0, 6.0, 40_000)
    toes = 100.0 * (y - heel) / (ball - heel)
    side = 100.0 * (x - left) / (right - left)
    within = np.abs(toes - share) <= feet.toe_share_within_percent(y)
    assert 0.94 < within.mean() < 0.96
    within = np.abs(side - share) <= feet.right_share_within_percent(x)
    assert 0.94 < within.mean() < 0.96
    assert np.isnan(Feet(-70.0, 70.0, -90.0, 90.0).toe_share_within_percent(y))


def test_the_ruler_s_feet_say_how_rough_they_are() -> None:
    feet = Feet.from_length(240.0, 200.0, -120.0)
    middle = 0.5 * (feet.heel_y_mm + feet.ball_y_mm)
    # ±0.015 of 240 mm and ±4 mm, rectangular: u = √(3.6² + 4²)/√3 = 3.11 mm on a lever of 144 mm.
    assert feet.toe_share_within_percent(middle) == pytest.approx(2.99, abs=0.01)
