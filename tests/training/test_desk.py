from __future__ import annotations

from dataclasses import replace

import pytest

from swaytrainer.training.choosing import Move
from swaytrainer.training.desk import (
    STILL_S,
    Asking,
    Desk,
    Go,
    Is,
    Known,
    Leave,
    Missed,
    Verdict,
    what_question,
)
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.vaulter import Vaulter

LEVELS = shipped_levels()
SQUAD = tuple(Vaulter(name) for name in ("Wren", "Tarn", "Mika"))
KNOWN = Known(SQUAD, SQUAD[1], LEVELS[0], (LEVELS[4], LEVELS[9]))


def titles(desk: Desk) -> list[str]:
    return [entry.title for entry in desk.view().question.entries]


def take(desk: Desk, title: str) -> Verdict | None:
    """By hand: turn to it, and take it."""
    for _ in range(titles(desk).index(title)):
        assert desk.hand(Move.AFTER) is None
    return desk.hand(Move.TAKE)


def test_the_expected_one_begins_what_is_expected() -> None:
    desk = Desk(None, KNOWN)
    assert titles(desk) == ["Tarn", "Another game", "Somebody else"]
    assert desk.view().question.still_s == STILL_S
    assert desk.hand(Move.TAKE) == Go(LEVELS[0])


def test_another_game_begins_at_once() -> None:
    desk = Desk(None, KNOWN)
    assert take(desk, "Another game") is None
    assert desk.asking is Asking.WHAT
    assert desk.view().question.still_s == 0.0, "nothing is expected here: standing is no answer"
    assert take(desk, LEVELS[9].title) == Go(LEVELS[9])


def test_where_there_is_one_game_alone_no_other_is_offered() -> None:
    contest = replace(KNOWN, levels=(LEVELS[0],))
    assert titles(Desk(None, contest)) == ["Tarn", "Somebody else"]


def test_somebody_else_says_who_and_is_asked_again() -> None:
    desk = Desk(None, KNOWN)
    assert take(desk, "Somebody else") is None
    assert titles(desk)[0] == "Mika", "who was expected has just said no"
    assert take(desk, "Wren") == Is("Wren")
    desk.ask(replace(KNOWN, vaulter=SQUAD[0]))
    assert titles(desk)[0] == "Wren"


def test_who_was_called_may_be_missing() -> None:
    assert "Not here" not in titles(Desk(None, KNOWN))
    desk = Desk(None, replace(KNOWN, called="Tarn"))
    assert take(desk, "Not here") == Missed("Tarn")


@pytest.mark.parametrize("asking", list(Asking))
def test_back_leaves_every_question(asking: Asking) -> None:
    assert Desk(None, KNOWN, asking).hand(Move.BACK) == Leave()


def test_after_a_set() -> None:
    desk = Desk(None, KNOWN, Asking.AFTER)
    assert titles(desk) == ["Again", "Another game", "Somebody else", "Done"]
    assert desk.view().question.still_s == 0.0
    assert desk.hand(Move.TAKE) == Go(LEVELS[0])
    onward = Desk(None, replace(KNOWN, onward=LEVELS[2]), Asking.AFTER)
    assert onward.hand(Move.TAKE) == Go(LEVELS[2])
    listed = Desk(None, replace(KNOWN, onward=LEVELS[2], following="Mika"), Asking.AFTER)
    assert listed.view().entry.title == "Done"
    assert "Mika" in listed.view().entry.note
    assert listed.hand(Move.TAKE) == Leave()


def test_somebody_alone_is_not_asked_who_else() -> None:
    alone = Known(SQUAD[:1], SQUAD[0], LEVELS[0])
    assert titles(Desk(None, alone)) == ["Wren"]


def test_the_plan_comes_first() -> None:
    levels = shipped_levels()
    plan = [levels[2].id, "gone", levels[1].id]
    question = what_question(levels, plan)
    assert [e.key for e in question.entries[:2]] == [levels[2].id, levels[1].id]
    assert len(question.entries) == len(levels)
    assert "plan" in question.entries[0].note
