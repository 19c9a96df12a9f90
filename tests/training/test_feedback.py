"""Feedback: faded after success, and never pooled with trials that had it."""

from dataclasses import replace

import pytest

from swaytrainer.sitting.sitting import Sitting
from swaytrainer.training.feedback import FEEDBACKS, SUMMARY_AFTER, feedback_for
from tests.streams import board_of, one_visit, received, run, setup_for, short_level


@pytest.mark.parametrize("wanted", [f for f in FEEDBACKS if f != "faded"])
def test_what_does_not_fade_is_the_same_for_every_trial(wanted: str) -> None:
    first = feedback_for(wanted, [], 6.0)
    assert first.kind == wanted
    assert feedback_for(wanted, [9.0] * 5, 6.0) == first


def test_a_faded_level_fades_with_success_and_comes_back_after_a_miss() -> None:
    marks: list[float | None] = []
    kinds = []
    for mark in (5.0, 7.0, 7.0, None, 8.0, 9.0, 3.0, 7.0):
        kinds.append(feedback_for("faded", marks, 6.0).kind)
        marks.append(mark)
    #        first   missed  1 pass  2 passes  (no mark) 3 passes  4 passes  missed
    assert kinds == ["full", "full", "none", "full", "full", "none", "none", "full"]
    assert feedback_for("faded", [6.0] * SUMMARY_AFTER, 6.0).picture is False


def test_the_outcome_says_what_was_really_given() -> None:
    level = replace(short_level(4.0, trials=2), feedback="faded", pass_mark=0.0)
    sitting = Sitting(setup_for(board_of(), level))
    events = run(sitting, received(board_of(), one_visit(40.0)))
    given = [e.outcome.terms.feedback for e in events if e.outcome is not None]
    assert given == ["full", "none"]
