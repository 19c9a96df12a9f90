"""What a screen or a speaker may know: a snapshot to draw from, and events as they happen."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from swaytrainer.training.feedback import Feedback, feedback_for
from swaytrainer.training.happening import Event, Happening, Phase, Where
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.vaulter import Vaulter

FULL_FEEDBACK: Final = feedback_for("full", (), 10.0)

__all__ = ["Event", "FootView", "Happening", "Phase", "Signal", "View", "Where"]


@dataclass(frozen=True, slots=True)
class Signal:
    """The health of the link, for a line on the screen.

    ``rate_hz`` is measured; ``drift_ppm`` is the board clock's rate against the host's (positive:
    the board's clock runs slow); ``jitter_ms`` is the median extra delay of arrival;
    ``noise_floor_mm_s`` is the mean speed that the board's own noise makes of a COP under the last
    body's weight, measured while it was empty (NaN until both are known).
    """

    connected: bool = False
    rate_hz: float = 0.0
    lost: int = 0
    corrupt: int = 0
    drift_ppm: float = 0.0
    jitter_ms: float = 0.0
    noise_floor_mm_s: float = math.nan


@dataclass(frozen=True, slots=True)
class FootView:
    """One foot on a plate of its own: its load, its COP in the joint frame, its own toe share.

    NaN where it bears less than the plate's threshold.
    """

    force_n: float
    x_mm: float
    y_mm: float
    toe_share_percent: float


@dataclass(frozen=True, slots=True)
class View:
    """A snapshot of a sitting. NaN where there is nothing to measure.

    Attributes:
        phase: see ``Phase``.
        phase_s: board seconds since the phase began.
        left_s: seconds left of the settling, countdown, trial, time to come back, or rest.
        trial: number of the current (or next) trial, from 1.
        trials: how many there will be in all, another set and repeats included.
        force_n, x_mm, y_mm: the live (causally filtered) values.
        toe_share_percent, right_share_percent: lever rule over the feet; with two plates the right
            share is measured.
        where: the toe share against the band.
        speed_mm_s: mean COP speed over the last second.
        stillness: 0 (lively) to 1 (as still as the level asks), from ``speed_mm_s``.
        spell_s: how long the vaulter has now been inside the band and still.
        calm_s: seconds of the trial so far that were inside the band.
        outcome: the last trial's, from its end until the next begins.
        path_mm: the last trial's COP path, (x, y) in mm, at most some 1,500 points; NaN pairs
            are gaps.
        marks: the marks of this sitting so far; None for trials without one.
        best_mark: the best mark known at equal terms, or None.
        feet: with two plates, the left foot and the right one; None with one plate.
        feedback: what is to be seen and heard of the sway while the trial runs.
        lesson: what is said while the game is tried before the first trial.
        tries: the countdown leads to a try of the game, not to the trial.
        occasion: what the trial is for, in a word or two; empty where it is one of the level's.
        scene: what the game's own rules see; None for a game that has none, and outside a trial.
        warnings: sentences for the screen (a cell open, the plate rocks, ...), worst first.
    """

    phase: Phase
    phase_s: float
    left_s: float
    trial: int
    trials: int
    vaulter: Vaulter
    level: Level
    force_n: float
    x_mm: float
    y_mm: float
    toe_share_percent: float
    right_share_percent: float
    where: Where
    speed_mm_s: float
    stillness: float
    spell_s: float
    calm_s: float
    outcome: Outcome | None = None
    path_mm: tuple[tuple[float, float], ...] = ()
    marks: tuple[float | None, ...] = ()
    best_mark: float | None = None
    feet: tuple[FootView, FootView] | None = None
    feedback: Feedback = FULL_FEEDBACK
    lesson: str = ""
    tries: bool = False
    occasion: str = ""
    scene: object | None = None
    warnings: tuple[str, ...] = ()
    signal: Signal = Signal()
