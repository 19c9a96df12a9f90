"""Where a hands-free sitting stands, and what happens in it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from swaytrainer.training.outcome import Outcome


class Phase(StrEnum):
    """Where a hands-free sitting stands."""

    WAITING = "waiting"  # the board is empty: step on
    SETTLING = "settling"  # somebody is on it: stand still to start
    COUNTDOWN = "countdown"
    LESSON = "lesson"  # the game to try, unmarked, before the first trial
    RUNNING = "running"
    OFF = "off"  # stepped off in the middle of a trial: a few seconds to come back
    RESULT = "result"  # the mark stands; step off
    RESTING = "resting"
    FINISHED = "finished"  # all trials of the sitting are done


class Where(StrEnum):
    """The toe share against the level's band."""

    INSIDE = "inside"
    TOES = "toes"
    HEELS = "heels"
    NOWHERE = "nowhere"  # no COP: the board is empty or the signal is lost


class Happening(StrEnum):
    """Kinds of event, each once at its moment."""

    TARED = "tared"
    STEPPED_ON = "stepped on"
    LEFT_EARLY = "left early"  # stepped off before the trial began
    COUNTDOWN_TICK = "countdown tick"  # number = seconds left: 3, 2, 1
    LESSON_STARTED = "lesson started"
    LESSON_ENDED = "lesson ended"
    TRIAL_STARTED = "trial started"
    HALF_TIME = "half time"
    STEPPED_OFF = "stepped off"
    STEPPED_BACK = "stepped back"
    TRIAL_ENDED = "trial ended"  # outcome is set
    REST_OVER = "rest over"
    FINISHED = "finished"
    CUE = "cue"  # the game's rules call something: word, and perhaps number
    SIGNAL_LOST = "signal lost"
    SIGNAL_BACK = "signal back"


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened at a board time (s)."""

    happening: Happening
    time_s: float
    number: int = 0
    outcome: Outcome | None = None
    word: str = ""
