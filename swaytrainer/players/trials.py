"""Plays one trial from samples: on the board, still, counted in, and then what a player does."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Phase
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.trial import Trial

RATE_HZ = 80.0
FEET = Feet.from_length(232.0, 180.0, -120.0)
#: Force (N), x and y (mm) of one sample; NaN off the board.
State = tuple[float, float, float]


def play_trial(
    level: Level,
    states: Callable[[Trial], Iterable[State]],
    body_n: float = 441.0,
    feet: Feet = FEET,
    rate_hz: float = RATE_HZ,
    rest_mm: tuple[float, float] | None = None,
) -> Outcome:
    """The first trial's outcome.

    Args:
        level: what is asked.
        states: what the player does from the trial's first sample on; may look at the trial.
        body_n: weight in the countdown.
        feet: where they stand.
        rate_hz: samples a second.
        rest_mm: where the COP is while the trial is waited for; the middle of the band if None.
    """
    trial = Trial(level, feet, rate_hz, "causal 2nd-order Butterworth, 10 Hz")
    middle = 0.5 * (level.band_low_percent + level.band_high_percent)
    lever = feet.ball_y_mm - feet.heel_y_mm
    x, y = rest_mm or (0.0, feet.heel_y_mm + middle / 100.0 * lever)
    n = 0

    def feed(force: float, x_mm: float, y_mm: float) -> None:
        nonlocal n
        trial.update(CopSample(n / rate_hz, force, x_mm, y_mm, 0.0))
        n += 1

    for _ in range(round(0.5 * rate_hz)):
        feed(0.0, NAN, NAN)
    while trial.phase is not Phase.RUNNING:
        feed(body_n, x, y)
        if n > 40 * rate_hz:
            raise AssertionError(f"no trial began: {trial.phase}")
    last = (body_n, x, y)
    for last in states(trial):
        feed(*last)
        if trial.outcome is not None:
            return trial.outcome
    for _ in range(round(130 * rate_hz)):
        feed(*last)
        if trial.outcome is not None:
            return trial.outcome
    raise AssertionError("the trial never ended")


def mark_of(outcome: Outcome) -> float:
    """What the trial is worth: 0 if it doesn't count."""
    return outcome.mark if outcome.counts and outcome.mark is not None else 0.0
