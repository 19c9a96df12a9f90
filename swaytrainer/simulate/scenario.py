"""What happens on the board, written as a script, and the corner loads that it makes.

This is a demo, a test bench and a teaching aid, **never** evidence that a measure is right: see
``swaytrainer.simulate.body``.

Frame: the board's, origin at the plate's centre, x to the right, y forward, millimetres. Loads
are newtons, downward on the plate positive, tared: an empty board carries nothing.

>>> from swaytrainer.simulate.athlete import JUNIOR
>>> visit = Scenario((Empty(0.5), StepOn(1.2), Stand(2.0), StepOff(0.8), Empty(0.5)))
>>> loads = list(corner_loads(visit, JUNIOR, 100.0, 200.0, 150.0, seed=7))
>>> len(loads), sum(loads[0])
(500, 0.0)
>>> round(sum(loads[300]) / 9.80665)  # kilograms
45
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count
from typing import Literal, NamedTuple

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete
from swaytrainer.simulate.body import (
    ORDINARY,
    BodyState,
    Eyes,
    Ground,
    Manner,
    StandingBody,
)

Side = Literal["left", "right"]


class CornerLoads(NamedTuple):
    """The four loads in newtons, in the board's order."""

    front_left_n: float
    front_right_n: float
    rear_left_n: float
    rear_right_n: float


@dataclass(frozen=True, slots=True)
class Empty:
    """Nothing on the board."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Weight:
    """A dead weight lies on one spot, in mm."""

    mass_kg: float
    x_mm: float
    y_mm: float
    seconds: float

    def __post_init__(self) -> None:
        if not 0.0 < self.mass_kg < math.inf:
            raise ValueError(f"a weight must have a mass above zero, not {self.mass_kg} kg")


@dataclass(frozen=True, slots=True)
class StepOn:
    """First one foot, then the other: the COP goes from that foot to the middle.

    The force rises from nothing to 1.06 body weights and settles at one.
    """

    seconds: float = 1.2
    first_foot: Side = "left"


@dataclass(frozen=True, slots=True)
class Stand:
    """Stand quietly. What is None stays as it was; at first ordinary, firm and eyes open."""

    seconds: float
    manner: Manner | None = None
    ground: Ground | None = None
    eyes: Eyes | None = None


@dataclass(frozen=True, slots=True)
class LeanToes:
    """Lean forward onto the balls of the feet, until the next ``Stand`` leans back."""

    seconds: float
    toe_share_percent: float = 75.0


@dataclass(frozen=True, slots=True)
class StepOff:
    """One foot leaves, then the other: the COP goes from the middle to the last foot."""

    seconds: float = 0.8
    last_foot: Side = "right"


Step = Empty | Weight | StepOn | Stand | LeanToes | StepOff


@dataclass(frozen=True, slots=True)
class Scenario:
    """What happens, in order. Only the last step may last for ever (``math.inf``).

    Raises:
        ValueError: if there is no step, if a duration is not a positive number, if a step before
            the last is endless, or if somebody leans or steps off who isn't on the board.
    """

    steps: tuple[Step, ...]

    def __post_init__(self) -> None:
        if not self.steps:
            raise ValueError("a scenario needs at least one step")
        on_board = False
        for number, step in enumerate(self.steps, start=1):
            if not step.seconds > 0.0:
                raise ValueError(f"step {number} must last longer than nothing: {step}")
            endless = math.isinf(step.seconds)
            if endless and number < len(self.steps):
                raise ValueError(f"step {number} never ends, so what follows never comes: {step}")
            if endless and isinstance(step, StepOn | StepOff):
                raise ValueError(f"step {number} cannot last for ever: {step}")
            if isinstance(step, LeanToes | StepOff) and not on_board:
                raise ValueError(f"nobody is on the board in step {number}: {step}")
            if isinstance(step, StepOn) and on_board:
                raise ValueError(f"somebody is on the board already in step {number}: {step}")
            on_board = isinstance(step, StepOn | Stand | LeanToes)

    @property
    def seconds(self) -> float:
        """How long it lasts; ``math.inf`` if it never ends."""
        return math.fsum(step.seconds for step in self.steps)


def demo_scenario(
    trial_s: float,
    trials: int,
    rest_s: float = 8.0,
    *,
    empty_s: float = 3.0,
    step_on_s: float = 1.2,
    settle_s: float = 10.0,
    countdown_s: float = 3.0,
    after_s: float = 1.0,
    step_off_s: float = 0.8,
    manner: Manner = ORDINARY,
    ground: Ground = Ground.FIRM,
    eyes: Eyes = Eyes.OPEN,
) -> Scenario:
    """A visit to the board, hands free: empty for the tare, then trials with rests between.

    Args:
        trial_s: how long a trial is.
        trials: how many.
        rest_s: how long the board is empty after each.
        empty_s: how long it is empty before the first.
        step_on_s: how long stepping on takes.
        settle_s: standing until the vaulter is settled; at most this long is needed.
        countdown_s: standing while the trial is counted in.
        after_s: standing on after the trial, before stepping off.
        step_off_s: how long stepping off takes.
        manner: how the vaulter stands.
        ground: firm plate or foam on it.
        eyes: open or closed.

    Raises:
        ValueError: if there is no trial.

    >>> demo_scenario(30.0, 2).seconds
    111.0
    """
    if trials < 1:
        raise ValueError(f"a demo needs at least one trial, not {trials}")
    standing_s = settle_s + countdown_s + trial_s + after_s
    steps: list[Step] = [Empty(empty_s)]
    for _ in range(trials):
        steps += [
            StepOn(step_on_s),
            Stand(standing_s, manner, ground, eyes),
            StepOff(step_off_s),
            Empty(rest_s),
        ]
    return Scenario(tuple(steps))


def distribute(
    force_n: float, x_mm: float, y_mm: float, half_width_mm: float, half_depth_mm: float
) -> CornerLoads:
    """Four corner loads with this sum and this COP.

    F_i = F/4·(1 ± x/a ± y/b): no twist, as a rigid plate on four equally stiff cells has it.
    Beyond |x|/a + |y|/b = 1 that would pull at one corner; the plate then lifts off it and rests
    on the other three, which is the least twist that keeps every load at zero or above.

    Raises:
        ValueError: if the COP is outside the cells, where the board would tip over.
    """
    across, along = x_mm / half_width_mm, y_mm / half_depth_mm
    if abs(across) > 1.0 or abs(along) > 1.0:
        raise ValueError(
            f"a load at x {x_mm:g} mm, y {y_mm:g} mm is outside the cells at ±{half_width_mm:g} "
            f"and ±{half_depth_mm:g} mm: the board would tip over"
        )
    quarter = 0.25 * force_n
    front_left = quarter * (1.0 - across + along)
    front_right = quarter * (1.0 + across + along)
    rear_left = quarter * (1.0 - across - along)
    rear_right = quarter * (1.0 + across - along)
    # (+, −, −, +) is the one pattern that changes neither force nor COP.
    twist = min(front_right, rear_left, 0.0) - min(front_left, rear_right, 0.0)
    return CornerLoads(
        front_left + twist, front_right - twist, rear_left - twist, rear_right + twist
    )


def corner_loads(
    scenario: Scenario,
    athlete: Athlete,
    rate_hz: float,
    half_width_mm: float,
    half_depth_mm: float,
    seed: int,
    *,
    gravity_m_s2: float = STANDARD_GRAVITY,
    heel_line_mm: float = HEEL_LINE_MM,
) -> Iterator[CornerLoads]:
    """The four loads, one set a sample, from board time 0 until the scenario ends.

    Sample n is at n/rate_hz; a step that goes from t₀ to t₁ has the samples from round(t₀·rate)
    up to, not including, round(t₁·rate). Each time somebody gets on, a new trial of the same
    person begins, with its own random numbers. The same seed gives identical floats.

    Raises:
        ValueError: if the rate or a half length is not above zero, or if a load lies outside
            the cells.
    """
    for name, value in (
        ("rate_hz", rate_hz),
        ("half_width_mm", half_width_mm),
        ("half_depth_mm", half_depth_mm),
    ):
        if not 0.0 < value < math.inf:
            raise ValueError(f"{name} must be above zero, not {value}")
    cops = body_states(
        scenario, athlete, rate_hz, seed, gravity_m_s2=gravity_m_s2, heel_line_mm=heel_line_mm
    )
    return (distribute(*cop, half_width_mm, half_depth_mm) for cop in cops)


class _Conditions(NamedTuple):
    manner: Manner
    ground: Ground
    eyes: Eyes

    def after(self, step: Step) -> _Conditions:
        """What holds once this step has begun: a ``Stand`` may change it."""
        if not isinstance(step, Stand):
            return self
        return _Conditions(
            step.manner or self.manner, step.ground or self.ground, step.eyes or self.eyes
        )


def body_states(
    scenario: Scenario,
    athlete: Athlete,
    rate_hz: float,
    seed: int,
    *,
    gravity_m_s2: float = STANDARD_GRAVITY,
    heel_line_mm: float = HEEL_LINE_MM,
) -> Iterator[BodyState]:
    """Force and joint COP, one a sample: what ``corner_loads`` puts on one plate."""
    seeds = random.Random(seed)
    now = _Conditions(ORDINARY, Ground.FIRM, Eyes.OPEN)
    body: StandingBody | None = None
    elapsed_s, sample = 0.0, 0
    for step, following in zip(scenario.steps, (*scenario.steps[1:], Empty(1.0)), strict=True):
        now = now.after(step)
        elapsed_s += step.seconds
        end = None if math.isinf(elapsed_s) else round(elapsed_s * rate_hz)
        numbers = count() if end is None else range(end - sample)
        if isinstance(step, Empty | Weight):
            body = None
            resting = BodyState(0.0, 0.0, 0.0)
            if isinstance(step, Weight):
                resting = BodyState(step.mass_kg * gravity_m_s2, step.x_mm, step.y_mm)
            yield from (resting for _ in numbers)
        else:
            if body is None:
                if isinstance(step, StepOn):  # onto the ground that they will stand on
                    now = now.after(following)
                body = StandingBody(
                    athlete,
                    now.ground,
                    now.eyes,
                    now.manner,
                    seeds.getrandbits(64),
                    heel_line_mm=heel_line_mm,
                    gravity_m_s2=gravity_m_s2,
                )
            yield from _on_board(step, body, numbers, rate_hz)
            if isinstance(step, StepOff):
                body = None
        sample = sample if end is None else end


def _on_board(
    step: StepOn | Stand | LeanToes | StepOff,
    body: StandingBody,
    numbers: Iterable[int],
    rate_hz: float,
) -> Iterator[BodyState]:
    if isinstance(step, Stand):
        body.change(ground=step.ground, eyes=step.eyes, manner=step.manner)
    elif isinstance(step, LeanToes):
        body.lean_to(step.toe_share_percent)
    for number in numbers:
        state = body.step(1.0 / rate_hz)
        if isinstance(step, StepOn | StepOff):
            state = _stepping(step, state, body.athlete, number / (step.seconds * rate_hz))
        yield state


def _stepping(step: StepOn | StepOff, state: BodyState, athlete: Athlete, done: float) -> BodyState:
    """The standing body's force and COP, partly still, or only still, on one foot.

    ``done`` goes from 0 to 1. The shape is ours: real steps differ more from each other than any
    simple curve differs from them.
    """
    if isinstance(step, StepOn):
        foot, load, middle = (
            step.first_foot,
            _smooth(done / 0.75) + 0.06 * _bump((done - 0.6) / 0.4),
            _smooth((done - 0.35) / 0.5),
        )
    else:
        foot, load, middle = (
            step.last_foot,
            1.0 - _smooth((done - 0.25) / 0.75) + 0.04 * _bump(done / 0.25),
            1.0 - _smooth(done / 0.6),
        )
    foot_x_mm = 0.5 * athlete.stance_width_mm * (-1.0 if foot == "left" else 1.0)
    return BodyState(
        state.force_n * load, foot_x_mm + middle * (state.x_mm - foot_x_mm), state.y_mm
    )


def _smooth(share: float) -> float:
    """From 0 to 1 without a corner: 3s² − 2s³, flat outside."""
    share = min(max(share, 0.0), 1.0)
    return share * share * (3.0 - 2.0 * share)


def _bump(share: float) -> float:
    """From 0 up to 1 at the middle and back, without a corner; 0 outside."""
    share = min(max(share, 0.0), 1.0)
    return 16.0 * share * share * (1.0 - share) * (1.0 - share)
