from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.choosing import (
    Chooser,
    Entry,
    Move,
    Question,
    who_question,
)
from swaytrainer.training.gesture import GestureWatch, Readiness
from swaytrainer.training.vaulter import Vaulter

FEET = Feet(-70.0, 50.0, -80.0, 80.0)
SQUAD = [Vaulter(name) for name in ("Wren", "Tarn", "Mika", "Romy")]


def samples(
    start_s: float, seconds: float, x_mm: float = 0.0, force_n: float = 400.0
) -> list[CopSample]:
    count = round(seconds * 80)
    return [CopSample(start_s + n / 80, force_n, x_mm, -10.0, 0.0) for n in range(count)]


def test_the_expected_one_comes_first_and_the_squads_order_follows() -> None:
    assert [e.key for e in who_question(SQUAD, "Mika").entries] == ["Mika", "Romy", "Wren", "Tarn"]
    assert [e.key for e in who_question(SQUAD, "nobody").entries] == [v.name for v in SQUAD]


def test_nothing_to_choose_or_two_alike_is_refused() -> None:
    with pytest.raises(SwaytrainerError, match="nothing to choose"):
        who_question([])
    with pytest.raises(SwaytrainerError, match="same key"):
        Question("?", (Entry("a", "A"), Entry("a", "B")))


def test_leaning_turns_the_list_and_stepping_off_goes_back() -> None:
    chooser = Chooser(GestureWatch(FEET, 80.0), who_question(SQUAD))
    assert chooser.view().state is Readiness.EMPTY
    assert chooser.feed(samples(0.0, 3.0)) == ()
    assert chooser.view().state is Readiness.READY
    [choice] = chooser.feed(samples(3.0, 0.8, 60.0))
    assert (choice.move, choice.entry.key, choice.by_body) == (Move.AFTER, "Tarn", True)
    assert chooser.view().understood == "Next: Tarn"
    chooser.feed(samples(3.8, 1.0))
    [choice] = chooser.feed(samples(4.8, 0.8, -60.0))
    assert (choice.move, choice.entry.key) == (Move.BEFORE, "Wren")
    [choice] = chooser.feed(samples(5.6, 1.0, NAN, 0.0))
    assert choice.move is Move.BACK
    assert chooser.over


def test_while_it_is_leant_the_ring_fills() -> None:
    chooser = Chooser(GestureWatch(FEET, 80.0), who_question(SQUAD))
    chooser.feed(samples(0.0, 3.0))
    shares = []
    for n in range(5):
        chooser.feed(samples(3.0 + n / 10, 0.1, 60.0))
        shares.append(chooser.view().progress)
    assert shares == sorted(shares)
    assert 0.4 < shares[-1] < 1.0


def test_the_next_question_does_not_hear_the_last_ones_lean() -> None:
    chooser = Chooser(GestureWatch(FEET, 80.0), who_question(SQUAD))
    chooser.feed(samples(0.0, 3.0))
    chooser.feed(samples(3.0, 0.5, 60.0))
    chooser.ask(who_question(SQUAD[1:]))
    assert chooser.feed(samples(3.5, 2.0, 60.0)) == ()
    assert chooser.view().understood == ""
    assert chooser.view().state is Readiness.READY


def test_once_taken_nothing_more_is_heard() -> None:
    chooser = Chooser(None, who_question(SQUAD))
    [taken] = chooser.hand(Move.TAKE)
    assert taken.entry.key == "Wren"
    assert chooser.view().understood == "Taken: Wren"
    assert chooser.hand(Move.AFTER) == chooser.pick(2) == ()


def test_a_click_brings_to_the_middle_and_another_takes() -> None:
    chooser = Chooser(None, who_question(SQUAD))
    [choice] = chooser.pick(2)
    assert (choice.entry.key, chooser.over) == ("Mika", False)
    [choice] = chooser.pick(2)
    assert (choice.move, choice.entry.key) == (Move.TAKE, "Mika")
    assert Chooser(None, who_question(SQUAD)).pick(9) == ()


def test_of_one_there_is_none_beside() -> None:
    chooser = Chooser(None, who_question(SQUAD[:1]))
    assert chooser.hand(Move.AFTER) == ()
    assert chooser.hand(Move.TAKE)[0].entry.key == "Wren"


def test_without_a_board_samples_are_not_heard() -> None:
    chooser = Chooser(None, who_question(SQUAD))
    assert chooser.feed(samples(0.0, 5.0)) == ()
    assert "Enter" in chooser.view().hint


@given(st.lists(st.sampled_from([Move.BEFORE, Move.AFTER]), max_size=60))
def test_the_ring_is_a_ring(moves: list[Move]) -> None:
    chooser = Chooser(None, who_question(SQUAD))
    for move in moves:
        chooser.hand(move)
    by = moves.count(Move.AFTER) - moves.count(Move.BEFORE)
    assert chooser.view().entry.key == SQUAD[by % 4].name


def test_standing_still_is_an_answer_where_it_may_be() -> None:
    question = Question("?", who_question(SQUAD).entries, 5.0)
    chooser = Chooser(GestureWatch(FEET, 80.0), question)
    chooser.feed(samples(0.0, 5.0))
    assert 0.0 < chooser.view().still < 1.0
    assert "begins" in chooser.view().hint
    [choice] = chooser.feed(samples(5.0, 4.0))
    assert (choice.move, choice.entry.key, choice.by_body) == (Move.TAKE, "Wren", True)


def test_who_has_leant_away_is_not_taken_for_standing_still() -> None:
    question = Question("?", who_question(SQUAD).entries, 5.0)
    chooser = Chooser(GestureWatch(FEET, 80.0), question)
    chooser.feed(samples(0.0, 4.0))
    [choice] = chooser.feed(samples(4.0, 0.8, 60.0))
    assert choice.move is Move.AFTER
    assert chooser.feed(samples(4.8, 20.0)) == ()
    assert chooser.view().still == 0.0
