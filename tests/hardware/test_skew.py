"""The skew's effect on the COP, as ``hardware/DELAY.md`` states it."""

import math

from tests.hardware.bench import NOMINAL_US
from tests.hardware.skew import (
    HALF_DEPTH_MM,
    HALF_WIDTH_MM,
    IN_STEP,
    WANDERING,
    bound_x_mm,
    breathing,
    landing,
    skew_of,
    sway,
    through_the_chip,
)

SECONDS = 30.0


def test_in_step_a_changing_force_moves_no_cop() -> None:
    skew = skew_of(landing, through_the_chip(landing, SECONDS, *IN_STEP))
    assert max(skew.largest_x_mm, skew.largest_y_mm) < 0.01


def test_skewed_it_does_but_no_more_than_the_bound() -> None:
    for load in (breathing, landing):
        bound_mm = bound_x_mm(load, 2.0)
        skew = skew_of(load, through_the_chip(load, SECONDS, *WANDERING))
        # Nobody meets the worst phases exactly, but over all of them it comes near.
        assert 0.3 * bound_mm < skew.largest_x_mm < bound_mm


def test_under_a_steady_force_it_is_a_delay_of_at_most_a_period() -> None:
    skew = skew_of(sway, through_the_chip(sway, SECONDS, *WANDERING))
    fastest_mm_s = 10.0 * 2 * math.pi / 1.5
    delayed_mm = fastest_mm_s * NOMINAL_US * 1e-6
    assert 0.5 * delayed_mm < skew.largest_y_mm < delayed_mm
    # The two sides are delayed differently, so some of it crosses over.
    assert skew.largest_x_mm < delayed_mm / 2 * HALF_WIDTH_MM / HALF_DEPTH_MM
