"""What happens besides standing, laid over the sway of a simulated body.

A hand on a rail, a step, a hop, a fall, a calm way off the board; and what is none of these: knee
bends, arms, talk, leaning, shifting the weight. Sizes and times are drawn from a seed. They are
ours, from the laws of motion where these say something (heights, flights, impulses) and from what
seemed likely where they don't (how a fall unloads the board): a test bench for a watch, **never**
evidence that it is right about people.

Frame: the board's, x right, y forward, mm; N; s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from random import Random
from typing import Final

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete
from swaytrainer.simulate.body import ORDINARY, BodyState, Eyes, Ground, Manner, StandingBody
from swaytrainer.simulate.film import Film, smooth
from swaytrainer.simulate.stirring import stir


class Story(StrEnum):
    """What happens in a simulated trial."""

    NOTHING = "nothing"
    SUPPORT = "support"  # a hand carries some weight for seconds
    TOUCH = "touch"  # the same for a moment
    STEP = "step"
    HOP = "hop"
    STEP_OFF = "step off"
    FALL = "fall"


@dataclass(frozen=True, slots=True)
class Told:
    """A simulated trial and the truth about it.

    Attributes:
        story: what happens, once.
        start_s, end_s: when; NaN for nothing.
        size: support and touch: share of the weight carried; step: mm that the middle moves; hop:
            seconds in the air; else NaN.
        states: what the feet press, a state a sample; sample n is at n/rate.
        stirring: what goes on that is no incident.
    """

    story: Story
    start_s: float
    end_s: float
    size: float
    states: tuple[BodyState, ...]
    stirring: tuple[str, ...] = ()


#: From the lightest junior to a heavy adult.
LIGHTEST_KG: Final = 25.0
HEAVIEST_KG: Final = 100.0


def some_vaulter(seed: int) -> Athlete:
    """An invented vaulter of 25 to 100 kg; height, feet and stance go with the mass.

    >>> [round(some_vaulter(n).mass_kg) for n in (1, 2, 3)]
    [52, 35, 29]
    """
    rng = Random(f"vaulter {seed}")
    share = rng.random()
    mass_kg = LIGHTEST_KG * (HEAVIEST_KG / LIGHTEST_KG) ** share
    height_m = (1.28 + 0.60 * share) * rng.uniform(0.96, 1.04)
    return Athlete(
        f"Vaulter {seed}",
        mass_kg,
        height_m,
        152.0 * height_m * rng.uniform(0.97, 1.03),
        1000.0 * height_m * rng.uniform(0.105, 0.135),
    )


def some_manner(seed: int) -> Manner:
    """Calm to restless; children's quickness is in the upper half of it."""
    rng = Random(f"manner {seed}")
    gain = 0.7 * 2.2 ** rng.random()
    return replace(
        ORDINARY,
        name="some",
        toe_share_percent=rng.uniform(28.0, 55.0),
        right_share_percent=rng.uniform(46.0, 54.0),
        sway_gain=gain,
        drift_gain=gain * rng.uniform(0.85, 1.2),
    )


def tell(
    story: Story,
    athlete: Athlete,
    rate_hz: float,
    seed: int,
    *,
    ground: Ground = Ground.FIRM,
    eyes: Eyes = Eyes.OPEN,
    manner: Manner = ORDINARY,
    seconds: float = 20.0,
    size: float | None = None,
    lasting_s: float | None = None,
    heel_line_mm: float = HEEL_LINE_MM,
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> Told:
    """One trial in which one thing happens, once; or nothing but some stirring.

    Args:
        story: what happens, after 5 s at the earliest and with 5 s or more left.
        athlete, ground, eyes, manner, heel_line_mm, gravity_m_s2: see ``StandingBody``.
        rate_hz: samples a second.
        seed: of everything drawn.
        seconds: how long the trial is.
        size: see ``Told``; None: drawn.
        lasting_s: how long a hand carries weight; None: drawn.

    Raises:
        ValueError: too short a trial.
    """
    if seconds < 16.0:
        raise ValueError(f"a trial with a story needs 16 s, not {seconds:g}")
    rng = Random(f"{story.value} {seed}")
    body = StandingBody(
        athlete, ground, eyes, manner, rng.getrandbits(48),
        heel_line_mm=heel_line_mm, gravity_m_s2=gravity_m_s2,
    )  # fmt: skip
    weight_n = athlete.mass_kg * gravity_m_s2
    film = Film(body, rate_hz, seconds, weight_n, rng)
    start_s = rng.uniform(5.0, seconds - 10.0)
    stirring: list[str] = []
    end_s = math.nan
    known = math.nan if size is None else size
    if story is Story.NOTHING:
        start_s = math.nan
        stirring = stir(film, seconds)
    elif story is Story.SUPPORT:
        lasts_s = rng.uniform(1.5, 5.0) if lasting_s is None else lasting_s
        known = rng.uniform(0.04, 0.35) if size is None else size
        end_s = _hold(film, start_s, lasts_s, known)
    elif story is Story.TOUCH:
        lasts_s = rng.uniform(0.4, 1.2) if lasting_s is None else lasting_s
        # Less than some 0.06 weight-seconds is drowned by what a body may do by itself.
        known = rng.uniform(max(0.10, 0.065 / (0.65 * lasts_s)), 0.40) if size is None else size
        end_s = _hold(film, start_s, lasts_s, known)
    elif story is Story.STEP:
        known, end_s = _step(film, start_s, size)
    elif story is Story.HOP:
        known = rng.uniform(0.12, 0.55) if size is None else size
        end_s = _hop(film, start_s, known)
    elif story is Story.STEP_OFF:
        end_s = _step_off(film, start_s)
    else:
        end_s = _fall(film, start_s)
    states = tuple(
        BodyState(max(f, 0.0) * weight_n, x, y)
        for f, x, y in zip(film.share, film.x, film.y, strict=True)
    )
    return Told(story, start_s, end_s, known, states, tuple(stirring))


def _hold(film: Film, start_s: float, lasts_s: float, share: float) -> float:
    """A hand carries some weight; the COP goes away from it, or towards it with a lean."""
    rng = film.rng
    ramp_s = min(rng.uniform(0.12, 0.5), 0.35 * lasts_s)
    waver, hz = rng.uniform(0.0, 0.2), rng.uniform(0.3, 1.2)
    phase = rng.uniform(0.0, 2.0 * math.pi)
    dx, dy = rng.uniform(-90.0, 90.0) * share, rng.uniform(-90.0, 90.0) * share

    def act(n: int, done: float) -> None:
        t = done * lasts_s
        part = smooth(t / ramp_s) * smooth((lasts_s - t) / ramp_s)
        moving = 1.0 + waver * math.sin(2.0 * math.pi * hz * t + phase)
        film.share[n] -= share * part * moving
        # Held, the body sways less.
        film.x[n] += part * (dx + 0.4 * (film.middle_x - film.x[n]))
        film.y[n] += part * (dy + 0.4 * (film.middle_y - film.y[n]))

    return film.each(start_s, lasts_s, act)


def _step(film: Film, start_s: float, shift_mm: float | None) -> tuple[float, float]:
    """One foot goes elsewhere; the middle moves by half its way."""
    rng = film.rng
    half_mm = 0.5 * film.athlete.stance_width_mm
    side = rng.choice((-1.0, 1.0))  # the foot that is lifted
    way_mm = rng.uniform(40.0, 150.0) if shift_mm is None else 2.0 * shift_mm
    while True:
        angle = rng.uniform(0.0, 2.0 * math.pi)
        dx, dy = way_mm * math.cos(angle), way_mm * math.sin(angle)
        # The feet do not cross, nor stand on each other, nor go off the plate.
        apart_mm = 2.0 * half_mm + side * dx
        if apart_mm > 90.0 and abs(side * half_mm + dx) < 200.0:
            break
        way_mm *= 0.98
    stance_x, stance_y = film.middle_x - side * half_mm, film.middle_y
    t = start_s
    ready_s = rng.uniform(0.1, 0.2)
    film.move(t, ready_s, side * rng.uniform(3.0, 20.0), -rng.uniform(0.0, 12.0))
    t += ready_s
    lift_s, alone_s, down_s = rng.uniform(0.15, 0.4), rng.uniform(0.1, 0.6), rng.uniform(0.12, 0.35)
    t = film.aim(t, lift_s, stance_x + rng.gauss(0, 6), stance_y + rng.gauss(0, 12), 0.6)
    up_m = rng.uniform(0.003, 0.012)
    film.rise(t - lift_s, lift_s + 0.5 * alone_s, up_m)
    film.rise(t + 0.5 * alone_s, 0.5 * alone_s + down_s, -up_m)
    t += alone_s
    film.kick(t, 0.06, rng.uniform(0.02, 0.07))
    film.kick(t + 0.06, 0.15, -rng.uniform(0.02, 0.07))
    middle_x, middle_y = film.middle_x + 0.5 * dx, film.middle_y + 0.5 * dy
    t = film.aim(t, down_s, middle_x, middle_y, 1.0)
    return 0.5 * way_mm, t


def _hop(film: Film, start_s: float, air_s: float) -> float:
    """Down, push, flight, landing: the impulses add up to nothing."""
    rng = film.rng
    speed = 0.5 * STANDARD_GRAVITY * air_s
    dip = rng.uniform(0.2, 0.6)
    t = film.kick(start_s, rng.uniform(0.25, 0.4), -dip)
    t = film.kick(t, rng.uniform(0.2, 0.34), speed + dip)
    back_s = t + air_s

    def fly(n: int, _: float) -> None:
        film.share[n] = 0.0

    film.each(t, air_s, fly)
    film.move(t, 0.5 * air_s, rng.uniform(-35.0, 35.0), rng.uniform(-30.0, 30.0))
    bend = rng.uniform(0.1, 0.5)
    t = film.kick(back_s, rng.uniform(0.12, 0.26), speed + bend)
    if rng.random() < 0.3:  # one foot first
        foot = rng.choice((-0.5, 0.5)) * film.athlete.stance_width_mm

        def first(n: int, done: float) -> None:
            film.x[n] += (1.0 - done) * foot

        film.each(back_s, rng.uniform(0.03, 0.07), first)
    film.kick(t, rng.uniform(0.25, 0.5), -bend)
    return back_s


def _step_off(film: Film, start_s: float) -> float:
    """The weight onto one foot, the other down to the floor, then the first one after it."""
    rng = film.rng
    foot = film.athlete.foot_length_mm
    half_mm = 0.5 * film.athlete.stance_width_mm
    side = rng.choice((-1.0, 1.0))  # the last foot
    where = rng.choice(("forward", "back", "side"))
    t = start_s
    ready_s = rng.uniform(0.2, 0.35)
    film.move(t, ready_s, -side * rng.uniform(5.0, 25.0),
              -rng.uniform(10.0, 30.0) if where == "forward" else rng.gauss(0, 5))  # fmt: skip
    t += ready_s
    last_x = film.middle_x + side * half_mm
    t = film.aim(t, rng.uniform(0.3, 0.8), last_x + rng.gauss(0, 6),
                 film.middle_y + rng.gauss(0, 10), 0.6)  # fmt: skip
    t += rng.uniform(0.0, 0.7)
    off_s = rng.uniform(0.22, 0.9)
    roll = {"forward": 0.30, "back": -0.18, "side": 0.0}[where] * foot
    film.move(t - 0.1, off_s, 0.0, roll)
    return film.unload(t, off_s)


def _fall(film: Film, start_s: float) -> float:
    """The COP runs to the edge, the body goes over it, the feet come off."""
    rng = film.rng
    foot = film.athlete.foot_length_mm
    half_mm = 0.5 * film.athlete.stance_width_mm
    t = start_s
    along = rng.random() < 0.65
    front = rng.random() < 0.5

    def edge(front: bool) -> float:
        share = rng.uniform(0.84, 0.95) if front else rng.uniform(0.02, 0.10)
        return film.heel_line_mm + share * foot

    if rng.random() < 0.35:  # a fight for balance first, to and fro
        for k in range(rng.randrange(1, 4)):
            there = edge(front == (k % 2 == 1))
            near = film.middle_y + rng.uniform(0.5, 0.9) * (there - film.middle_y)
            if along:
                x, y = film.middle_x + rng.gauss(0, 10), near
            else:
                x = film.middle_x + (1 - 2 * (k % 2)) * half_mm * rng.uniform(0.4, 0.9)
                y = film.middle_y + rng.gauss(0, 10)
            t = film.aim(t, rng.uniform(0.15, 0.3), x, y, 0.3) + rng.uniform(0.0, 0.15)
    if along:
        x, y = film.middle_x + rng.gauss(0, 12), edge(front)
    else:
        out = half_mm + rng.uniform(0.05, 0.17) * foot
        x, y = film.middle_x + rng.choice((-1.0, 1.0)) * out, film.middle_y + rng.gauss(0, 20)
    t = film.aim(t, rng.uniform(0.12, 0.3), x, y, 0.2)
    over_s = rng.uniform(0.06, 0.3)
    film.kick(t, over_s, -rng.uniform(0.0, 0.25))  # it begins to drop
    t += over_s
    if along and rng.random() < 0.5:  # one foot after the other
        film.aim(t, rng.uniform(0.08, 0.15), x + rng.choice((-1.0, 1.0)) * half_mm, y, 0.0)
        film.kick(t, 0.12, rng.uniform(-0.1, 0.1))
        t += rng.uniform(0.1, 0.3)
    return film.unload(t, rng.uniform(0.06, 0.22))
