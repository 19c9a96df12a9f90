"""Marks: by hand for a few, and monotone for all (our own rule: stated in the module)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.training.level import MarkPart
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.mark import Tally, outcome_of
from swaytrainer.training.outcome import Outcome, Terms
from swaytrainer.training.tasks.task import COMMON, Markable

LEVEL = replace(
    shipped_levels()[0],
    seconds=20.0,
    parts=(
        MarkPart("time_in_band_percent", 30.0, 95.0, 0.5),
        MarkPart("mean_speed_mm_s", 30.0, 8.0, 0.5),
    ),
)
TERMS = Terms(80.0, "causal", 20.0, "firm", "two feet", "open", "full")
PERFECT = Tally(20.0, 20.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0)


def mark(tally: Tally, speed: float, ended: str = "complete") -> Outcome:
    return outcome_of(LEVEL, 1, ended, tally, {"mean_speed_mm_s": speed}, TERMS)


def test_a_perfect_trial_is_a_ten() -> None:
    outcome = mark(PERFECT, 5.0)
    assert outcome.mark == pytest.approx(10.0)
    assert outcome.counts
    assert outcome.reason == "Even and calm from start to end."


def test_a_mark_by_hand() -> None:
    # In band 13 of 20 s = 65 %: (65-30)/(95-30)·5 = 2.692; speed 19: (30-19)/(30-8)·5 = 2.5.
    outcome = mark(Tally(20.0, 13.0, 7.0, 0.0, 0.0, 0.0, 0.0, 0), 19.0)
    assert outcome.mark == pytest.approx(2.6923 + 2.5, abs=1e-4)
    assert [p.earned for p in outcome.parts] == pytest.approx([2.6923, 2.5], abs=1e-4)
    assert outcome.measures["time_in_band_percent"] == pytest.approx(65.0)
    assert "mm/s" in outcome.reason
    assert "rings" in outcome.advice


def test_toes_are_told_and_the_advice_points_at_the_pond() -> None:
    outcome = mark(Tally(20.0, 8.0, 11.0, 1.0, 0.0, 0.0, 0.0, 0), 9.0)
    assert outcome.reason.startswith("Too much weight on the toes for 11 of 20 s")
    assert "drift back" in outcome.advice


def test_stepping_off_costs_a_point_and_the_time() -> None:
    stood = Tally(20.0, 15.0, 0.0, 0.0, 5.0, 0.0, 0.0, 1)
    outcome = mark(stood, 8.0)
    # 75 % in band: 3.4615; a quarter off the board leaves nothing of the speed; less one point.
    assert outcome.mark == pytest.approx(3.4615 - 1.0, abs=1e-4)
    assert outcome.reason == "Stepped off once, 5 s away from the board."


def test_half_a_tenth_off_the_board_takes_half_of_what_stillness_earned() -> None:
    outcome = mark(Tally(20.0, 19.0, 0.0, 0.0, 1.0, 0.0, 0.0, 1), 8.0)
    assert outcome.mark == pytest.approx(5.0 + 2.5 - 1.0, abs=1e-4)


def test_catching_oneself_on_the_board_beats_stepping_off() -> None:
    """Two seconds of a lurch at 100 mm/s, against two seconds beside the board."""
    speed = (18.0 * 8.0 + 2.0 * 100.0) / 20.0
    lurched = mark(Tally(20.0, 18.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0), speed).mark
    stepped = mark(Tally(20.0, 18.0, 0.0, 0.0, 2.0, 0.0, 0.0, 1), 8.0).mark
    assert lurched is not None
    assert stepped is not None
    assert lurched > stepped + 1.0


def test_any_other_measure_of_stillness_goes_the_same_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(COMMON, "ellipse_area_mm2", Markable("mm²", False, "Small"))
    level = replace(LEVEL, parts=(MarkPart("ellipse_area_mm2", 900.0, 0.0, 1.0),))
    stood = outcome_of(level, 1, "complete", PERFECT, {"ellipse_area_mm2": 500.0}, TERMS)
    left = Tally(20.0, 2.0, 0.0, 0.0, 18.0, 0.0, 0.0, 1)
    gone = outcome_of(level, 1, "complete", left, {"ellipse_area_mm2": 5.0}, TERMS)
    assert gone.mark == 0.0
    assert stood.mark == pytest.approx(4.4444, abs=1e-3)
    assert "500.0 mm²" in stood.reason


def test_the_deduction_never_makes_a_mark_negative() -> None:
    outcome = mark(Tally(20.0, 0.0, 1.0, 0.0, 19.0, 0.0, 0.0, 9), 60.0)
    assert outcome.mark == 0.0
    assert outcome.deduction == 0.0


@pytest.mark.parametrize(
    ("tally", "why"),
    [
        (replace(PERFECT, inside_s=19.0, lost_s=1.0, longest_gap_s=1.0), "gone for 1.0 s"),
        (replace(PERFECT, inside_s=19.5, lost_s=0.5, longest_gap_s=0.05), "2 % of the signal"),
        (replace(PERFECT, faults=("The front left cell is stuck.",)), "stuck"),
    ],
)
def test_a_broken_signal_does_not_count_but_is_marked(tally: Tally, why: str) -> None:
    outcome = mark(tally, 8.0)
    assert not outcome.counts
    assert why in outcome.reason
    assert outcome.mark == pytest.approx(10.0)


@pytest.mark.parametrize("ended", ["aborted", "signal lost"])
def test_no_mark_without_a_trial(ended: str) -> None:
    outcome = mark(PERFECT, 8.0, ended)
    assert outcome.mark is None
    assert not outcome.counts


def test_falling_marks_suggest_to_stop() -> None:
    outcome = outcome_of(
        LEVEL, 3, "complete", PERFECT, {"mean_speed_mm_s": 20.0}, TERMS, [9.5, 8.5]
    )
    assert "enough for today" in outcome.advice


seconds = st.floats(0.0, 1.0)


@given(seconds, seconds, seconds, st.integers(0, 4), st.floats(1.0, 60.0), st.data())
def test_monotone_in_each_part(
    inside: float, toes: float, off: float, step_offs: int, speed: float, data: st.DataObject
) -> None:
    """More in band, slower, less off the board, fewer steps off: never a lower mark."""
    whole = inside + toes + off + 1e-9
    scale = 20.0 / whole
    tally = Tally(20.0, inside * scale, toes * scale, 0.0, off * scale, 0.0, 0.0, step_offs)
    before = mark(tally, speed).mark
    assert before is not None
    assert 0.0 <= before <= 10.0
    moved = data.draw(st.floats(0.0, 1.0))
    better = [
        (replace(tally, inside_s=tally.inside_s + moved * tally.toes_s,
                 toes_s=(1 - moved) * tally.toes_s), speed),
        (tally, speed * (1.0 - 0.9 * moved)),
        (replace(tally, toes_s=tally.toes_s + moved * tally.off_board_s,
                 off_board_s=(1 - moved) * tally.off_board_s), speed),
        (replace(tally, step_offs=max(step_offs - 1, 0)), speed),
    ]  # fmt: skip
    for other, other_speed in better:
        after = mark(other, other_speed).mark
        assert after is not None
        assert after >= before - 1e-9
