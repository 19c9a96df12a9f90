"""What somebody does who only stands: knee bends, arms, talk, leans, shifts of the weight, coughs.

None of it is an incident. Sizes and times are ours.
"""

from __future__ import annotations

import math

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.film import Film


def stir(film: Film, seconds: float) -> list[str]:
    """Up to four things that are no incident."""
    rng = film.rng
    names = []
    at_s = rng.uniform(4.0, 8.0)
    half_mm = 0.5 * film.athlete.stance_width_mm
    for _ in range(rng.randrange(5)):
        what = rng.choice(
            ("knee bend", "squat", "arms", "talk", "shift", "lean", "heels up", "cough")
        )
        if at_s > seconds - 8.0:
            break
        names.append(what)
        if what in ("knee bend", "squat"):
            tall = film.athlete.height_m
            depth_m = rng.uniform(0.02, 0.12 if what == "knee bend" else 0.2) * tall
            # The force stays well above zero.
            least_s = max(0.4, 1.1 * math.sqrt(depth_m * 2.0 * math.pi / 6.0))
            film.move(at_s, 0.5, rng.gauss(0, 4), rng.gauss(0, 8))
            at_s = film.rise(at_s, least_s * rng.uniform(1.0, 2.5), -depth_m)
            at_s += rng.uniform(0.0, 0.3) if what == "knee bend" else rng.uniform(0.5, 4.0)
            at_s = film.rise(at_s, least_s * rng.uniform(1.0, 2.5), depth_m)
        elif what == "arms":
            at_s = _arms(film, at_s)
        elif what == "talk":
            at_s = _talk(film, at_s)
        elif what == "shift":
            side = rng.choice((-1.0, 1.0)) * half_mm * rng.uniform(0.3, 0.75)
            at_s = film.move(at_s, rng.uniform(0.7, 2.0), side, rng.gauss(0, 6))
            at_s += rng.uniform(0.3, 3.0)
            at_s = film.move(at_s, rng.uniform(0.7, 2.0), -side + rng.gauss(0, 4), 0.0)
        elif what == "lean":
            # Within the feet: not past the balls, not past the heels.
            at_s = film.move(at_s, rng.uniform(1.0, 3.0), 0.0, rng.uniform(-18.0, 30.0))
        elif what == "heels up":
            up_m = rng.uniform(0.03, 0.07)
            film.move(at_s, 0.5, 0.0, 35.0)
            at_s = film.rise(at_s, rng.uniform(0.4, 1.0), up_m) + rng.uniform(0.2, 2.0)
            film.move(at_s, 0.5, 0.0, -35.0)
            at_s = film.rise(at_s, rng.uniform(0.4, 1.0), -up_m)
        else:
            speed = rng.uniform(0.03, 0.12)
            at_s = film.kick(at_s, rng.uniform(0.08, 0.2), -speed)
            at_s = film.kick(at_s, rng.uniform(0.08, 0.2), speed)
        at_s += rng.uniform(2.0, 12.0)
    return names


def _arms(film: Film, at_s: float) -> float:
    """Arms go up and down: the centre with them by a centimetre or two."""
    rng = film.rng
    hz, amplitude_m = rng.uniform(0.5, 1.6), rng.uniform(0.005, 0.02)
    gain = amplitude_m * (2.0 * math.pi * hz) ** 2 / STANDARD_GRAVITY
    cycles = rng.randrange(2, 8)
    sway_mm = rng.uniform(2.0, 8.0)

    def act(n: int, done: float) -> None:
        turn = 2.0 * math.pi * cycles * done
        edge = math.sin(math.pi * done)
        film.share[n] += edge * gain * math.sin(turn)
        film.y[n] += edge * sway_mm * math.sin(turn + 1.0)

    return film.each(at_s, cycles / hz, act)


def _talk(film: Film, at_s: float) -> float:
    """Deep breath and small nods."""
    rng = film.rng
    level, hz = rng.uniform(0.001, 0.006), rng.uniform(1.0, 4.0)

    def act(n: int, done: float) -> None:
        film.share[n] += level * math.sin(2.0 * math.pi * hz * done * 6.0) * rng.random()

    return film.each(at_s, 6.0, act)
