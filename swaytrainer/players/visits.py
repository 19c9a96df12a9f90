"""Drives a real trial with samples: step on, stand, count down, and then whatever a player does."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from random import Random
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete
from swaytrainer.sway.butterworth import lowpass
from swaytrainer.sway.cop import Array, CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Phase
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.trial import Trial

RATE_HZ: Final = 80.0
THRESHOLD_N: Final = 20.0

Watch = Callable[[Trial, CopSample], None]


class Pressed(NamedTuple):
    """Force (N) and COP (mm) at each sample, shape (N,), before any filter."""

    force_n: Array
    x_mm: Array
    y_mm: Array


def level_of(level_id: str) -> Level:
    """A shipped level by its id."""
    return next(level for level in shipped_levels() if level.id == level_id)


def feet_of(athlete: Athlete) -> Feet:
    """Where the athlete's feet bear."""
    return Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, HEEL_LINE_MM)


def weight_of(athlete: Athlete) -> float:
    """The athlete's weight, N."""
    return athlete.mass_kg * STANDARD_GRAVITY


def sway(rng: Random, time_s: Array, rms: float) -> Array:
    """A sum of sines, slower ones larger: quiet sway as a function of time."""
    hz = np.array([rng.uniform(0.1, 1.6) for _ in range(10)])
    size = 1.0 / hz
    phase = np.array([rng.uniform(0.0, math.tau) for _ in range(10)])
    size *= rms * math.sqrt(2.0 / float((size**2).sum()))
    swayed: Array = np.sin(math.tau * np.multiply.outer(time_s, hz) + phase) @ size
    return swayed


def standing(rng: Random, weight_n: float, y_mm: float, seconds: float, rms: float) -> Pressed:
    """Standing still about ``y_mm`` with so much sway (mm, root mean square)."""
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return Pressed(
        weight_n * (1.0 + sway(rng, time_s, 0.0004)),
        sway(rng, time_s, rms),
        y_mm + sway(rng, time_s, rms),
    )


def samples(begin: int, pressed: Pressed) -> Iterable[tuple[CopSample, CopSample]]:
    """Filtered as the live view is, and unfiltered; numbered from ``begin``."""
    force, x, y = pressed
    plain = (force, force * x, force * y)
    low = (low_passed(values).tolist() for values in plain)
    rows = zip(*low, *(values.tolist() for values in plain), strict=True)
    for n, (f, mx, my, force_n, moment_x, moment_y) in enumerate(rows, start=begin):
        yield _sample(n, f, mx, my), _sample(n, force_n, moment_x, moment_y)


def low_passed(values: Array) -> Array:
    """What ``CausalLowpass`` makes of them, at once."""
    from scipy.signal import lfilter

    b0, b1, b2, a1, a2 = lowpass(10.0, RATE_HZ)
    state = values[0] * np.array([1.0 - b0, b2 - a2])
    filtered: Array = lfilter([b0, b1, b2], [1.0, a1, a2], values, zi=state)[0]
    return filtered


def _sample(n: int, force_n: float, moment_x: float, moment_y: float) -> CopSample:
    if force_n < THRESHOLD_N:
        return CopSample(n / RATE_HZ, force_n, math.nan, math.nan, 0.0)
    return CopSample(n / RATE_HZ, force_n, moment_x / force_n, moment_y / force_n, 0.0)


def run_trial(
    level: Level,
    feet: Feet,
    before: Pressed,
    played: Pressed,
    watch: Watch | None = None,
) -> Outcome:
    """The outcome of one visit: nobody, ``before`` until the trial runs, then ``played``."""
    trial = Trial(level, feet, RATE_HZ, "butterworth 2, 10 Hz")
    empty = np.zeros(round(RATE_HZ))
    n = 0
    parts = (Pressed(empty, empty, empty), before, played)
    for number, part in enumerate(parts):
        for filtered, plain in samples(n, part):
            trial.update(filtered, unfiltered=plain)
            n += 1
            if watch is not None and trial.in_trial:
                watch(trial, filtered)
            if trial.outcome is not None:
                return trial.outcome
            if number == 1 and trial.phase is Phase.RUNNING:
                break
    raise AssertionError(f"the trial is still {trial.phase} after {n / RATE_HZ:.0f} s")


def mark_of(outcome: Outcome) -> float:
    """Its mark, 0 if it does not count."""
    return outcome.mark if outcome.counts and outcome.mark is not None else 0.0
