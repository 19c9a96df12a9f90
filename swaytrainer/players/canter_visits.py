"""One visit to the board by somebody who hears what the trial calls out."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Event, Happening, Phase
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.trial import Trial

RATE_HZ = 80.0
FEET = Feet(-80.0, 40.0, -90.0, 90.0)
FILTER_HZ = 10.0


class Press(NamedTuple):
    """What the feet press: force in weights (0: off the board), and the COP."""

    weights: float
    x_mm: float
    y_mm: float


#: Seconds since the trial began (below zero before it) and the words just called → what is pressed.
Body = Callable[[float, tuple[str, ...]], Press]
Watch = Callable[[Trial, CopSample], None]


def visit(
    level: Level,
    body: Body,
    weight_n: float,
    watch: Watch | None = None,
    usual_n: float | None = None,
) -> Outcome:
    """Step on, wait, and stand the trial; its outcome. ``usual_n``: what is known of the weight."""
    trial = Trial(level, FEET, RATE_HZ, "causal, 10 Hz", usual_n=usual_n)
    filters = [CausalLowpass(FILTER_HZ, RATE_HZ) for _ in range(3)]
    began_s = math.nan
    words: tuple[str, ...] = ()
    for n in range(round((level.seconds + 40.0) * RATE_HZ)):
        t = n / RATE_HZ
        if n < 40:
            sample = CopSample(t, 0.0, math.nan, math.nan, 0.0)
        else:
            running = trial.phase in (Phase.RUNNING, Phase.OFF)
            press = body(t - began_s if running else -1.0, words)
            force = filters[0].update(press.weights * weight_n)
            # A filter goes over moments, so that what is off the board leaves no trace.
            mx = filters[1].update(press.weights * weight_n * press.x_mm)
            my = filters[2].update(press.weights * weight_n * press.y_mm)
            there = force >= 40.0
            sample = CopSample(
                t, force, mx / force if there else math.nan, my / force if there else math.nan, 0.0
            )
        events = trial.update(sample)
        words = tuple(event.word for event in events if event.happening is Happening.CUE)
        if watch is not None:
            watch(trial, sample)
        if trial.phase is Phase.SETTLING:
            events = [*events, *trial.skip()]
        ended = _outcome(events)
        if any(event.happening is Happening.TRIAL_STARTED for event in events):
            began_s = t
        if ended is not None:
            return ended
    raise AssertionError("the trial never ended")


def _outcome(events: list[Event] | tuple[Event, ...] | object) -> Outcome | None:
    assert isinstance(events, list | tuple)
    return next((e.outcome for e in events if e.outcome is not None), None)


def mark_of(outcome: Outcome) -> float:
    """A trial that does not count scores nothing."""
    return outcome.mark if outcome.counts and outcome.mark is not None else 0.0
