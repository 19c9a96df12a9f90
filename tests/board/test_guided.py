"""The guide: what it takes, what it waits for, and what it refuses."""

import math

import numpy as np
import pytest

from swaytrainer.board.calibration import Calibration
from swaytrainer.board.fit import fit
from swaytrainer.board.guided import (
    Guide,
    check_masses,
    check_unit,
    few_spots,
    marked_spots,
    nominal_gain_n,
)
from swaytrainer.errors import SwaytrainerError
from tests.board.boards import MADE, calibrate
from tests.board.test_fit import GAINS, OFFSETS, PLACES, SPOTS, counts_for, vector

STEP_S = 0.0125


class Hand:
    """Puts things on the board for a guide."""

    def __init__(self, guide: Guide) -> None:
        self.guide = guide
        self.time_s = 0.0
        self.rng = np.random.default_rng(4)

    def lay(
        self, mass_kg: float, x_mm: float, y_mm: float, seconds: float = 1.6, noise: float = 40.0
    ) -> int:
        """How many readings were taken meanwhile."""
        taken = 0
        for _ in range(round(seconds / STEP_S)):
            counts = np.array(counts_for(mass_kg, x_mm, y_mm)) + self.rng.normal(0, noise, 4)
            taken += self.guide.update(self.time_s, vector(counts))
            self.time_s += STEP_S
        return taken

    def empty(self, seconds: float = 1.6) -> int:
        return self.lay(0.0, 0.0, 0.0, seconds)


def test_a_whole_calibration_with_two_masses() -> None:
    guide = Guide(SPOTS, (20.0, 10.0))
    hand = Hand(guide)
    assert guide.instruction == "Leave the board empty."
    assert hand.empty() == 1
    told = []
    for mass, spots in ((20.0, SPOTS), (10.0, few_spots(220.0, 170.0))):
        for spot in spots:
            told.append(guide.instruction)
            # Put down over a third of a second with a jolt, then left alone for longer than needed.
            for i in range(27):
                hand.lay(mass if i % 2 else 0.5 * mass + 3, spot.x_mm / 2, spot.y_mm, STEP_S)
            assert hand.lay(mass, spot.x_mm, spot.y_mm, 3.0) == 1
    assert told[0] == "Put 20 kg on the middle."
    assert told[-1] == "Put 10 kg on rear left."
    assert len(told) == 14
    assert guide.instruction == "Take the mass off and leave the board empty."
    assert hand.empty() == 1
    assert guide.done
    assert guide.task is None
    found = fit("00000000000000a1", MADE, PLACES, guide.readings)
    assert np.allclose(found.calibration.gain_n_per_count, GAINS, rtol=1e-3)
    assert np.allclose(guide.readings[0].noise_counts, 40.0, rtol=0.4)


def test_a_mass_carried_to_the_next_mark_may_take_its_time() -> None:
    guide = Guide(SPOTS, 20.0)
    time_s = 0.0
    for mass, x, y in [(0.0, 0.0, 0.0), *((20.0, s.x_mm, s.y_mm) for s in SPOTS)]:
        for load in (mass, 0.0):
            for _ in range(160):
                guide.update(time_s, counts_for(load, x, y))
                time_s += 0.0125
    assert guide.done
    assert [p.counts for p in guide.placed] == [
        pytest.approx(counts_for(20.0, s.x_mm, s.y_mm), abs=1e-6) for s in SPOTS
    ]


def test_a_mass_slid_to_the_next_mark_is_not_taken_half_way() -> None:
    guide = Guide(SPOTS[:2], 20.0)
    hand = Hand(guide)
    assert hand.empty() == 1
    assert hand.lay(20.0, 0.0, 0.0) == 1
    for share in np.linspace(0.0, 1.0, 40):
        hand.lay(20.0, SPOTS[1].x_mm * share, SPOTS[1].y_mm * share, 0.05)
    assert len(guide.placed) == 1
    assert hand.lay(20.0, SPOTS[1].x_mm, SPOTS[1].y_mm) == 1
    assert guide.placed[1].counts == pytest.approx(
        counts_for(20.0, SPOTS[1].x_mm, SPOTS[1].y_mm), abs=30.0
    )


def test_a_skipped_spot_is_told_and_not_taken() -> None:
    guide = Guide(SPOTS, 20.0)
    hand = Hand(guide)
    hand.empty()
    hand.lay(20.0, 0.0, 0.0)
    assert hand.lay(20.0, SPOTS[2].x_mm, SPOTS[2].y_mm, 3.0) == 0
    assert guide.hint.startswith("Not on front left yet: it seems to lie on the front.")
    assert hand.lay(20.0, SPOTS[1].x_mm, SPOTS[1].y_mm) == 1
    assert guide.hint == ""


def test_another_mass_is_told_and_not_taken() -> None:
    guide = Guide(SPOTS, 20.0)
    hand = Hand(guide)
    hand.empty()
    hand.lay(20.0, 0.0, 0.0)
    assert hand.lay(30.0, SPOTS[1].x_mm, SPOTS[1].y_mm, 3.0) == 0
    assert "about 30" in guide.hint


def test_the_first_mass_must_lie_in_the_middle() -> None:
    guide = Guide(SPOTS, 20.0)
    hand = Hand(guide)
    hand.empty()
    assert hand.lay(20.0, 110.0, 85.0 / 2, 3.0) == 0
    assert "middle" in guide.hint


def test_a_reversed_cell_does_not_stop_the_guide() -> None:
    guide = Guide(SPOTS, 20.0)
    time_s = 0.0
    for mass, x, y in [(0.0, 0.0, 0.0), *((20.0, s.x_mm, s.y_mm) for s in SPOTS), (0.0, 0.0, 0.0)]:
        counts = counts_for(mass, x, y)
        for _ in range(130):
            guide.update(time_s, (counts[0], counts[1], -counts[2], counts[3]))
            time_s += STEP_S
    assert guide.done
    found = fit("00000000000000a1", MADE, PLACES, guide.readings).calibration
    assert found.gain_n_per_count[2] == pytest.approx(-GAINS[2])


def test_a_cell_that_does_not_move_is_named_at_the_first_mass() -> None:
    guide = Guide(SPOTS, 20.0)

    def lay(mass_kg: float, begin_s: float) -> None:
        counts = counts_for(mass_kg, 0.0, 0.0)
        for n in range(130):
            one = (counts[0], float(OFFSETS[1]), counts[2], counts[3])
            guide.update(begin_s + n * STEP_S, one)

    lay(0.0, 0.0)
    with pytest.raises(SwaytrainerError, match="front right cell doesn't move"):
        lay(20.0, 130 * STEP_S)


def before() -> Calibration:
    g, o = GAINS, OFFSETS
    return Calibration(
        "00000000000000a1", MADE, (g[0], g[1], g[2], g[3]), (o[0], o[1], o[2], o[3]), PLACES
    )


def test_somebody_on_the_empty_board_is_not_taken_for_its_zero() -> None:
    # Quiet, but heavy: a bag, by the older calibration.
    guide = Guide(SPOTS, 20.0, before=before())
    hand = Hand(guide)
    assert hand.lay(12.0, 0.0, 0.0, 3.0) == 0
    assert guide.hint.startswith("118 N lie on the board")
    assert hand.empty() == 1
    # Without an older calibration: a person is never still, and a cell that bears much is told.
    guide = Guide(SPOTS, 20.0)
    hand = Hand(guide)
    for n in range(700):
        hand.lay(45.0, 6.0 * math.sin(n / 30), -20.0 + 4.0 * math.sin(n / 47), STEP_S)
    assert guide.readings == []
    assert "keep hands and feet off" in guide.hint
    guide = Guide(SPOTS, 20.0)
    hand = Hand(guide)
    assert hand.lay(90.0, 0.0, 0.0, 3.0) == 0
    assert "clear the board" in guide.hint


def test_the_last_empty_board_must_be_empty() -> None:
    guide = Guide(SPOTS[:3], 20.0)
    hand = Hand(guide)
    hand.empty()
    for s in SPOTS[:3]:
        hand.lay(20.0, s.x_mm, s.y_mm)
    assert hand.lay(20.0, 0.0, -85.0, 3.0) == 0
    assert "still something" in guide.hint
    assert hand.empty() == 1
    assert guide.done


def test_a_supply_that_never_rests_is_told() -> None:
    guide = Guide(SPOTS, 20.0)
    assert Hand(guide).lay(0.0, 0.0, 0.0, 8.0, noise=900.0) == 0
    assert "supply" in guide.hint


@pytest.mark.parametrize(
    ("typed", "meant"),
    [(44.09, "pounds, give --mass 20 "), (20_000.0, "grams, give --mass 20 "), (196.1, "newtons")],
)
def test_another_unit_is_suggested(typed: float, meant: str) -> None:
    guide = Guide(SPOTS, typed)
    hand = Hand(guide)
    hand.empty()
    with pytest.raises(SwaytrainerError, match=meant):
        hand.lay(20.0, 0.0, 0.0)


def test_a_board_with_other_cells_is_told_how_to_say_so() -> None:
    with pytest.raises(SwaytrainerError, match="--cell-kg"):
        check_unit(20.0, 80.0, 200.0)
    guide = Guide(SPOTS, 20.0, cell_kg=200.0, before=before())
    hand = Hand(guide)
    hand.empty()
    assert hand.lay(20.0, 0.0, 0.0) == 1
    assert nominal_gain_n(200.0) == pytest.approx(GAINS.mean(), rel=0.01)


@pytest.mark.parametrize(
    ("masses", "why"),
    [
        ([20_000.0], "if these are grams, --mass 20"),
        ([2.0], "5 to 100 kg"),
        ([math.nan], "5 to 100 kg"),
        ([20.0, 20.5], "no more than one"),
    ],
)
def test_impossible_masses_are_refused(masses: list[float], why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        check_masses(masses)


def test_nine_marks_and_five_of_them() -> None:
    spots = marked_spots(220.0, 170.0)
    assert len({(s.x_mm, s.y_mm) for s in spots}) == 9
    assert [s.name for s in few_spots(220.0, 170.0)][1:] == [
        "front left",
        "front right",
        "rear right",
        "rear left",
    ]


def test_a_simulated_board_with_everything_a_little_wrong_is_calibrated() -> None:
    board, found = calibrate(11)
    assert board.board_id == found.calibration.board_id
    assert found.worst_place_mm < 4.0
    assert found.foot_area.x_mm < 1.5
    assert found.calibration.uncertainty is not None
    # 90 nV rms at 80 samples a second.
    assert found.calibration.uncertainty.noise_n == pytest.approx(0.0177, rel=0.1)
