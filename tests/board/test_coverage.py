"""The stated 95 % holds, on fewer boards than ``python -m tests.board.coverage`` takes."""

import math
from dataclasses import replace

from tests.board.boards import Helper, assumed, calibrate, shown
from tests.board.coverage import SPOTS, coverage

BOARDS = 150


def test_the_stated_uncertainty_covers_the_truth_and_a_decent_build_is_good_to_a_millimetre() -> (
    None
):
    found = coverage(range(5000, 5000 + BOARDS))
    # One quantity at one spot is binomial over the boards; the spots of one board go together, so
    # a mean over them is taken to vary as much as one of them: three standard deviations either
    # way of 95 %, and of the 93 to 97 % that are promised.
    sd = math.sqrt(0.95 * 0.05 / BOARDS)
    for share in (found.force, found.x, found.y):
        assert 0.93 - 3 * sd <= share <= min(0.97 + 3 * sd, 0.9999)
    assert found.error_p95_mm <= 1.0
    assert found.error_max_mm <= 3.0
    assert found.boards == BOARDS
    assert len(SPOTS) == 7


def test_a_helper_whose_scale_is_worse_than_he_says_is_not_covered() -> None:
    """The test above can fail: a scale good to ±0.03 kg (rms) by its word, ±0.15 in truth."""
    inside = []
    for seed in range(40):
        honest = Helper(masses_kg=(20.0,))
        board, fitted = calibrate(
            seed, helper=replace(honest, mass_u_kg=0.15), told=assumed(honest)
        )
        (force_n, _, _), *_ = shown(board, fitted.calibration, SPOTS[:1])
        promised = fitted.calibration.expanded(*SPOTS[0])
        assert promised is not None
        inside.append(abs(force_n - SPOTS[0][0]) <= promised.force_n)
    assert sum(inside) / len(inside) < 0.7


def test_residuals_larger_than_told_widen_the_statement() -> None:
    """Placed within 5 mm, believed within 1: the place's uncertainty grows, the force's not."""
    told = assumed(Helper(placing_mm=1.0))
    _, good = calibrate(3, helper=Helper(placing_mm=1.0))
    _, bad = calibrate(3, helper=Helper(placing_mm=5.0), told=told)
    assert bad.foot_area.x_mm > 2.5 * good.foot_area.x_mm
    assert bad.foot_area.force_n < 1.1 * good.foot_area.force_n
