from __future__ import annotations

from dataclasses import replace

import pytest

from swaytrainer.sitting.view import Event, Happening, Phase
from swaytrainer.sound.prompter import Line, Prompter
from swaytrainer.sound.prompts.phrases import PROMPTS
from tests.games.scenes import LEVEL, NO_MARK, OUTCOME, view


def said(line: Line | None) -> tuple[str, ...]:
    return () if line is None else line.prompts


@pytest.mark.parametrize("happening", list(Happening))
def test_whatever_happens_only_what_there_is_is_said(happening: Happening) -> None:
    line = Prompter().notice(Event(happening, 0.0, number=2, outcome=OUTCOME, word="left"))
    assert set(said(line)) <= set(PROMPTS)


@pytest.mark.parametrize("number", [3, 2, 1])
def test_the_countdown_is_spoken(number: int) -> None:
    line = Prompter().notice(Event(Happening.COUNTDOWN_TICK, 0.0, number))
    assert said(line) == (str(number),)


def test_the_mark_is_told_and_praised_when_it_passes() -> None:
    prompter = Prompter()
    prompter.follow(view(Phase.RUNNING))
    line = prompter.notice(Event(Happening.TRIAL_ENDED, 0.0, outcome=OUTCOME))
    assert said(line) == ("the end", "your mark", "6", "point", "9", "well done")
    prompter.follow(view(Phase.RUNNING, level=replace(LEVEL, pass_mark=7.0)))
    line = prompter.notice(Event(Happening.TRIAL_ENDED, 0.0, outcome=OUTCOME))
    assert said(line)[-1] == "9"
    line = prompter.notice(Event(Happening.TRIAL_ENDED, 0.0, outcome=NO_MARK))
    assert said(line) == ("the end", "no mark")


def test_an_empty_board_asks_for_somebody_once() -> None:
    prompter = Prompter()
    empty = view(Phase.WAITING, force_n=0.0, phase_s=0.2)
    assert not said(prompter.follow(empty))
    later = replace(empty, phase_s=0.6)
    assert said(prompter.follow(later)) == ("step on",)
    assert not said(prompter.follow(later))


def test_where_a_spotter_must_be_the_spotter_is_asked_first() -> None:
    asked = view(Phase.WAITING, force_n=0.0, level=replace(LEVEL, spotter=True))
    assert said(Prompter().follow(asked)) == ("spotter ready", "step on")


def test_who_stands_there_unnoticed_is_asked_to_step_off_and_then_on() -> None:
    prompter = Prompter()
    stands = view(Phase.WAITING)
    assert said(prompter.follow(stands)) == ("step off",)
    assert not said(prompter.follow(stands))
    empty = replace(stands, force_n=0.0)
    assert said(prompter.follow(empty)) == ("step on",)
    # Stepping on goes past this: nobody is asked off again.
    assert not said(prompter.follow(stands))


def test_after_the_mark_who_still_stands_there_is_asked_off_and_rests() -> None:
    prompter = Prompter()
    assert not said(prompter.follow(view(Phase.RESULT, phase_s=1.0)))
    assert said(prompter.follow(view(Phase.RESULT, phase_s=4.5))) == ("step off",)
    assert not said(prompter.follow(view(Phase.RESULT, phase_s=5.0)))
    assert said(prompter.follow(view(Phase.RESTING))) == ("rest",)
    assert not said(prompter.follow(view(Phase.RESTING)))


def test_a_game_s_word_is_spoken_where_there_is_a_prompt_for_it() -> None:
    assert said(Prompter().notice(Event(Happening.CUE, 0.0, word="left"))) == ("left",)
    assert Prompter().notice(Event(Happening.CUE, 0.0, word="beat 1")) is None
