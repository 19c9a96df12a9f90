"""A body that is steered through a real trial: it leans where its player wants, and sways."""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.simulate.athlete import HEEL_LINE_MM, JUNIOR
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.happening import Event, Phase
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.trial import Trial

RATE_HZ: Final = 80.0
WEIGHT_N: Final = 380.0
FEET: Final = Feet.from_length(JUNIOR.foot_length_mm, JUNIOR.stance_width_mm, HEEL_LINE_MM)
#: A deliberate shift of weight: acceleration and braking as of a second-order lag, rad/s.
LEAN_RATE: Final = 4.5


class Wish(NamedTuple):
    """What a player wants the body to do now.

    Attributes:
        right_percent, toe_percent: where to lean.
        sway: factor on the sway.
        force: factor on the weight; 0 is off the board.
    """

    right_percent: float
    toe_percent: float
    sway: float = 1.0
    force: float = 1.0


#: Asked at each sample of the trial, with the seconds since it began.
Steer = Callable[[Trial, float], Wish]
#: Told of each sample, for pictures.
Watch = Callable[[Trial, CopSample, "list[Event]"], None]


def level_of(level_id: str) -> Level:
    """A shipped level by its id."""
    return next(level for level in shipped_levels() if level.id == level_id)


def sway_of(rng: Random, seconds: float, rms: float, rate_hz: float = RATE_HZ) -> list[float]:
    """A sum of sines from 0.1 to 1.5 Hz, slower ones larger: quiet sway."""
    time_s = np.arange(math.ceil(seconds * rate_hz)) / rate_hz
    hz = np.array([rng.uniform(0.1, 1.5) for _ in range(10)])
    phase = np.array([rng.uniform(0.0, math.tau) for _ in range(10)])
    size = (1.0 / hz) * rms * math.sqrt(2.0 / float(((1.0 / hz) ** 2).sum()))
    swayed: list[float] = (np.sin(math.tau * np.multiply.outer(time_s, hz) + phase) @ size).tolist()
    return swayed


def run(
    level: Level,
    steer: Steer,
    seed: int,
    *,
    rms_mm: float,
    stood: Wish,
    weight_n: float = WEIGHT_N,
    watch: Watch | None = None,
    lesson: bool = False,
    rate_hz: float = RATE_HZ,
) -> Outcome:
    """The outcome of one trial: step on, stand, count down, and then as steered."""
    rng = Random(seed)
    seconds = level.seconds + 45.0
    sway_x, sway_y, heave = (sway_of(rng, seconds, rms, rate_hz) for rms in (rms_mm, rms_mm, 0.004))
    trial = Trial(level, FEET, rate_hz, "butterworth 2, 10 Hz", lesson)
    stance, foot = FEET.right_x_mm - FEET.left_x_mm, FEET.ball_y_mm - FEET.heel_y_mm
    x = y = math.nan
    speed_x = speed_y = 0.0
    step_s = 1.0 / rate_hz
    # The stamp at which the board came to life: it seeds the game's choices.
    first_s = rng.uniform(2.0, 900.0)
    begun_s = math.nan
    for n in range(math.ceil(seconds * rate_hz)):
        now_s = first_s + n * step_s
        wish = stood
        if trial.in_trial or trial.phase is Phase.LESSON:
            if math.isnan(begun_s):
                begun_s = now_s
            wish = steer(trial, now_s - begun_s)
        else:
            begun_s = math.nan
        goal_x = FEET.left_x_mm + 0.01 * wish.right_percent * stance
        goal_y = FEET.heel_y_mm + 0.01 * wish.toe_percent * foot
        if math.isnan(x):
            x, y = goal_x, goal_y
        speed_x += (LEAN_RATE**2 * (goal_x - x) - 2.0 * LEAN_RATE * speed_x) * step_s
        speed_y += (LEAN_RATE**2 * (goal_y - y) - 2.0 * LEAN_RATE * speed_y) * step_s
        x += speed_x * step_s
        y += speed_y * step_s
        force = weight_n * wish.force * (1.0 + heave[n])
        if n < 0.5 * rate_hz or wish.force <= 0.0:
            sample = CopSample(now_s, 0.0, math.nan, math.nan, 0.0)
        else:
            sample = CopSample(
                now_s, force, x + wish.sway * sway_x[n], y + wish.sway * sway_y[n], 0.0
            )
        events = trial.update(sample)
        if watch is not None:
            watch(trial, sample, list(events))
        if trial.outcome is not None:
            return trial.outcome
    raise AssertionError(f"the trial is still {trial.phase} after {seconds:.0f} s")


def mark_of(outcome: Outcome) -> float:
    """Its mark, 0 where it does not count."""
    return outcome.mark if outcome.counts and outcome.mark is not None else 0.0
