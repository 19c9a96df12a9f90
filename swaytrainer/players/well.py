"""Somebody who plays the well: skill is timing, depth and heels that stay down."""

from __future__ import annotations

from random import Random
from typing import Final

import numpy as np

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.players import visits
from swaytrainer.players.visits import RATE_HZ, Pressed
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.sway.cop import Array
from swaytrainer.training.level import Level
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.tasks.well import FIELDS, LEAD_S

LEVEL: Final = visits.level_of("well-deeper")
CHEATS: Final = (
    "stiff",  # stands, and lets the others squat
    "shallow",  # nods with the knees
    "bobbing",  # up and down all the time
    "rail",  # a hand on a rail takes some weight in each squat, and the heels stay down
    "prop",  # a ball of 5 kg goes up and down, the knees hardly
    "corner",  # all on one foot
    "stepping",  # off the board and on again
    "light",  # a very light body
)


def minimum_jerk(share: Array) -> Array:
    """How much of a way is done after this share of its time, smoothly."""
    share = np.clip(share, 0.0, 1.0)
    done: Array = share**3 * (10.0 - 15.0 * share + 6.0 * share**2)
    return done


def second_derivative(share: Array) -> Array:
    """The same way's acceleration, of a way of 1 in a time of 1."""
    share = np.clip(share, 0.0, 1.0)
    pull: Array = 60.0 * share * (1.0 - share) * (1.0 - 2.0 * share)
    return pull


def pressed(skill: float, seed: int, cheat: str | None = None, level: Level = LEVEL) -> Pressed:
    """What the feet press from the trial's first moment on."""
    rng = Random(seed)
    clumsy = 1.0 - skill
    given = dict(level.task)
    number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
    feet = visits.feet_of(JUNIOR)
    wanted_mm = number["depth_feet"] * (feet.ball_y_mm - feet.heel_y_mm)
    weight_n = visits.weight_of(JUNIOR) * (0.4 if cheat == "light" else 1.0)
    time_s: Array = np.arange(round((level.seconds + 1.0) * RATE_HZ)) / RATE_HZ
    depth, pull = np.zeros(time_s.size), np.zeros(time_s.size)
    rise, hand = np.zeros(time_s.size), np.zeros(time_s.size)
    down_s, hold_s, up_s = number["down_s"], number["hold_s"], number["up_s"]
    cycle_s = down_s + hold_s + up_s + number["stand_s"]
    for k in range(round(number["repetitions"])):
        begin_s = LEAD_S + k * cycle_s + rng.gauss(0.05, 0.02 + 0.4 * clumsy)
        end_s = LEAD_S + k * cycle_s + down_s + hold_s + rng.gauss(0.05, 0.02 + 0.4 * clumsy)
        fall_s = down_s * rng.uniform(1.0 - 0.3 * clumsy, 1.0)
        end_s = max(end_s, begin_s + fall_s)
        mm = wanted_mm * max(0.2, rng.gauss(1.0 - 0.25 * clumsy, 0.04 + 0.18 * clumsy))
        toes = max(0.0, rng.gauss(2.0 + 30.0 * clumsy, 1.0 + 4.0 * clumsy))
        if cheat in ("rail", "shallow", "stiff", "prop"):
            toes = 0.0
        mm *= {"shallow": 0.45, "stiff": 0.0, "prop": 0.4}.get(cheat or "", 1.0)
        fall, climb = (time_s - begin_s) / fall_s, (time_s - end_s) / up_s
        there = minimum_jerk(fall) - minimum_jerk(climb)
        depth += mm * there
        rise += toes * there
        pull += mm * (second_derivative(climb) / up_s**2 - second_derivative(fall) / fall_s**2)
        hand += 0.08 * there
    if cheat == "bobbing":
        turn = 2.0 * np.pi * 0.5
        pull = 0.5 * wanted_mm * turn**2 * -np.cos(turn * time_s)
        rise = np.zeros(time_s.size)
    force = weight_n * (1.0 + 1e-3 * pull / STANDARD_GRAVITY + visits.sway(rng, time_s, 0.0004))
    if cheat == "rail":
        force *= 1.0 - hand
    base = feet.heel_y_mm + 0.01 * 42.0 * (feet.ball_y_mm - feet.heel_y_mm)
    rms = 1.5 + 4.0 * clumsy
    y = base + 0.01 * rise * (feet.ball_y_mm - feet.heel_y_mm) + visits.sway(rng, time_s, rms)
    x = visits.sway(rng, time_s, rms)
    if cheat == "corner":
        x = x + 0.42 * (feet.right_x_mm - feet.left_x_mm)
    if cheat == "stepping":
        away = (time_s > 0.55 * level.seconds) & (time_s < 0.55 * level.seconds + 1.2)
        force = np.where(away, 0.0, force)
    return Pressed(force, x, y)


def outcome(
    skill: float,
    seed: int,
    cheat: str | None = None,
    level: Level = LEVEL,
    watch: visits.Watch | None = None,
) -> Outcome:
    """The outcome of one trial."""
    feet = visits.feet_of(JUNIOR)
    played = pressed(skill, seed, cheat, level)
    rng = Random(f"before {seed}")
    weight_n = visits.weight_of(JUNIOR) * (0.4 if cheat == "light" else 1.0)
    before = visits.standing(rng, weight_n, float(played.y_mm[0]), 15.0, 1.5)
    return visits.run_trial(level, feet, before, played, watch)


def play(skill: float, seed: int, cheat: str | None = None) -> float:
    """The mark of one trial."""
    return visits.mark_of(outcome(skill, seed, cheat))
