"""``swaytrainer check`` passes good boards and catches each built-in fault with its reason."""

import math
from dataclasses import replace

import pytest

from swaytrainer.board import wire
from swaytrainer.board.acceptance import Check, check_mass
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.calibration_file import from_toml, to_toml
from swaytrainer.board.findings import Step, Trouble
from swaytrainer.board.wiring import rewired
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.fault import Fault
from tests.board.boards import GRAVITY
from tests.board.verdicts import EXPECTED, MASS_KG, calibration_of, verdict_of, visit, words

SEEDS = range(100, 110)


@pytest.mark.parametrize("begin", range(0, 200, 50))
def test_two_hundred_good_boards_pass(begin: int) -> None:
    refused = {
        seed: words(verdict)
        for seed in range(begin, begin + 50)
        if (verdict := verdict_of(seed, None)) is None or not verdict.passed
    }
    assert refused == {}


@pytest.mark.parametrize("fault", Fault, ids=lambda f: f.value)
def test_each_fault_is_caught_with_its_reason(fault: Fault) -> None:
    for seed in SEEDS:
        verdict = verdict_of(seed, fault)
        assert verdict is not None, f"seed {seed}: no verdict"
        assert not verdict.passed, f"seed {seed}"
        first = verdict.findings[0]
        assert first.trouble in EXPECTED[fault], f"seed {seed}: {first}"
        assert first.remedy


@pytest.mark.parametrize("fault", [Fault.SWAPPED, Fault.REVERSED])
def test_wrong_cables_are_offered_as_a_fix_that_works(fault: Fault) -> None:
    for seed in SEEDS:
        verdict = verdict_of(seed, fault)
        assert verdict is not None
        assert verdict.fix is not None, f"seed {seed}"
        kept = from_toml(to_toml(verdict.fix), "x")
        assert isinstance(kept, Calibration)
        again = verdict_of(seed, fault, kept)
        assert again is not None
        assert again.passed, f"seed {seed}: {words(again)}"
        # And only then: with the cables put right, the fix is wrong.
        right = verdict_of(seed, None, kept)
        assert right is not None
        assert right.findings[0].trouble in (Trouble.SWAPPED, Trouble.REVERSED)
        assert right.fix is not None
        assert right.fix.channels == (0, 1, 2, 3)


def test_other_faults_offer_no_fix() -> None:
    for fault in set(Fault) - {Fault.SWAPPED, Fault.REVERSED}:
        verdict = verdict_of(100, fault)
        assert verdict is not None
        assert verdict.fix is None


def test_another_board_that_calls_itself_the_same_is_refused() -> None:
    for seed in SEEDS:
        foreign = replace(calibration_of(seed), board_id=SimulatedBoard(DECENT, seed + 50).board_id)
        verdict = verdict_of(seed + 50, None, foreign)
        assert verdict is not None
        assert {f.trouble for f in verdict.findings} & {Trouble.ZERO, Trouble.GAIN}, seed


def test_the_figures_of_a_good_board() -> None:
    verdict = verdict_of(3, None)
    assert verdict is not None
    assert abs(verdict.force_error) < 0.004
    assert verdict.cop_error_mm < 2.0
    assert verdict.noise_n == pytest.approx(0.018, rel=0.4)


def test_a_known_mass_of_another_weight_fails_the_board() -> None:
    board = SimulatedBoard(DECENT, 5)
    check = Check(calibration_of(5), board.board_id, 80.0, 1.02 * MASS_KG, GRAVITY)
    verdict = visit(board, check, 5)
    assert verdict is not None
    [finding] = verdict.findings
    assert finding.trouble is Trouble.GAIN
    assert "all cells" in finding.what
    assert verdict.force_error == pytest.approx(1 / 1.02 - 1, abs=0.004)


def test_it_asks_for_one_thing_after_the_other_and_waits_for_an_empty_board() -> None:
    board = SimulatedBoard(DECENT, 5)
    check = Check(calibration_of(5), board.board_id, 80.0, MASS_KG, GRAVITY)
    for _ in range(200):
        seen = board.observe((60.0, 60.0, 60.0, 60.0))
        assert seen is not None
        assert not check.update(seen.time_s, seen.counts)
    assert check.step is Step.EMPTY
    assert "240 N lie on it" in check.hint or "239 N" in check.hint or "241 N" in check.hint
    asked = []
    for _ in range(100):
        seen = board.observe((0.0,) * 4)
        assert seen is not None
        if check.update(seen.time_s, seen.counts):
            asked.append(check.instruction)
    assert asked == ["Step on, feet on the marks, a hand on a support. Lean LEFT and hold."]
    assert check.verdict is None


def test_a_lean_that_goes_nowhere_is_told() -> None:
    board = SimulatedBoard(DECENT, 5)
    check = Check(calibration_of(5), board.board_id, 80.0, MASS_KG, GRAVITY)
    for n in range(500):
        load = 0.0 if n < 100 else 110.0
        seen = board.observe((load,) * 4)
        assert seen is not None
        check.update(seen.time_s, seen.counts)
    assert check.hint == "A little further, and hold."


def test_what_the_board_says_of_itself_fails_it() -> None:
    board = SimulatedBoard(DECENT, 5)

    class Low(Check):
        def update(self, time_s, counts, status=0):  # type: ignore[no-untyped-def]
            return super().update(time_s, counts, status | wire.STATUS_SUPPLY)

    verdict = visit(board, Low(calibration_of(5), board.board_id, 80.0, MASS_KG, GRAVITY), 5)
    assert verdict is not None
    assert [f.trouble for f in verdict.findings] == [Trouble.STATUS]


def test_rewiring_twice_the_same_way_is_no_rewiring() -> None:
    calibration = calibration_of(100)
    once = rewired(calibration, (1, 0, 2, 3), (1, -1, 1, 1))
    assert once.channels == (1, 0, 2, 3)
    # Corner 0 now is count 1; corner 1 is count 0, reversed.
    assert once.loads((-2e5, 1e5, 3e5, 4e5)) == pytest.approx(
        calibration.loads((1e5, 2e5, 3e5, 4e5))
    )
    assert rewired(once, (1, 0, 2, 3), (1, -1, 1, 1)) == calibration


@pytest.mark.parametrize("mass", [0.0, 2.0, 20_000.0, math.nan])
def test_impossible_masses_are_refused(mass: float) -> None:
    with pytest.raises(SwaytrainerError, match="can't check"):
        check_mass(mass)
