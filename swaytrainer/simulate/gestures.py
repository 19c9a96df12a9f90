"""What a body says to a board on purpose, and what it does by the way that must say nothing.

Leans that are held and pairs of knee bends on the one hand; on the other talk, looking around,
bouncing, a base that rocks, and catches of balance with sudden knees, besides ``stirring``. Sizes
and times are ours, and were made to be mistaken: a test bench, **never** evidence about people.

Frame: the board's, x right, y forward, mm; forces as shares of the weight; s.
"""

from __future__ import annotations

import copy
import math
from random import Random
from typing import Final

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.film import Film, smooth
from swaytrainer.simulate.stirring import stir

#: No knees bend so fast that more than this share of the weight goes or comes.
_STRONGEST: Final = 0.6
BYWORKS: Final = ("talk", "look", "bounce", "rock", "catch", "scratch")


def varied(film: Film, seed: str, sway: float, heave: float) -> Film:
    """The same stand with another sway and another up and down, mirrored or not.

    Args:
        film: stays as it is.
        seed: of whoever bends the copy, and of the mirror.
        sway: factor on the COP's way about its middle.
        heave: factor on the force's about the weight.
    """
    other = copy.copy(film)
    other.rng = Random(seed)
    side = sway * other.rng.choice((-1.0, 1.0))
    other.x = [film.middle_x + side * (x - film.middle_x) for x in film.x]
    other.y = [film.middle_y + sway * (y - film.middle_y) for y in film.y]
    other.share = [1.0 + heave * (share - 1.0) for share in film.share]
    return other


def lean(film: Film, at_s: float, side: int, percent: float, move_s: float, hold_s: float) -> float:
    """The weight goes to one side by ``percent`` of the load, stays, and comes back; its end."""
    way_mm = side * percent / 100.0 * film.athlete.stance_width_mm
    at_s = film.move(at_s, move_s, way_mm, film.rng.gauss(0.0, 5.0)) + hold_s
    return film.move(at_s, move_s, -way_mm, 0.0)


def knee_bends(
    film: Film, at_s: float, times: int, depth_m: float, half_s: float, pause_s: float
) -> float:
    """Knees bend and stretch, as often as that; its end.

    Args:
        film: bent.
        at_s: when it begins.
        times: how often.
        depth_m: of the centre of mass.
        half_s: down, and up, each.
        pause_s: standing between two.
    """
    forward_mm = film.rng.gauss(4.0, 7.0)
    for n in range(times):
        # The weight goes a little forward with the knees, and back.
        film.move(at_s, half_s, film.rng.gauss(0.0, 2.0), forward_mm)
        at_s = film.rise(at_s, half_s, -depth_m)
        film.move(at_s, half_s, film.rng.gauss(0.0, 2.0), -forward_mm)
        at_s = film.rise(at_s, half_s, depth_m) + (pause_s if n + 1 < times else 0.0)
    return at_s


def quickest_s(depth_m: float) -> float:
    """The least time of a bend by so much, one way; ``Film.rise`` needs 2π·h/(g·T²) of force."""
    return math.sqrt(2.0 * math.pi * depth_m / (_STRONGEST * STANDARD_GRAVITY))


def some_bends(film: Film, at_s: float) -> float:
    """Two knee bends as somebody asked for them may do them, never twice the same; their end."""
    rng = film.rng
    depth_m = rng.uniform(0.06, 0.11) * film.athlete.height_m
    slowness = rng.uniform(1.0, 1.5)
    for n in range(2):
        depth_m *= rng.uniform(0.85, 1.18)
        half_s = max(0.25, quickest_s(depth_m)) * slowness * rng.uniform(0.9, 1.1)
        at_s = knee_bends(film, at_s, 1, depth_m, half_s, 0.0)
        at_s += rng.uniform(0.0, 0.35) if n == 0 else 0.0
    return at_s


def by_the_way(film: Film, seconds: float, unsteady: float) -> list[str]:
    """A minute's worth of what is no gesture: ``stir``, and between it all of ``BYWORKS``.

    Args:
        film: bent.
        seconds: until then.
        unsteady: 0 on firm ground to 1 on a dome: how often balance is caught and the base rocks.
    """
    names = stir(film, seconds)
    rng = film.rng
    at_s = rng.uniform(2.0, 6.0)
    weights = (1.0, 1.0, 0.6, 3.0 * unsteady, 0.3 + 3.0 * unsteady, 0.5)
    while at_s < seconds - 8.0:
        [what] = rng.choices(BYWORKS, weights)
        names.append(what)
        at_s = _DO[what](film, at_s) + rng.uniform(1.0, 8.0)
    return names


def _swing(
    film: Film, at_s: float, cycles: float, hz: float, share: float, x_mm: float, y_mm: float
) -> float:
    """To and fro, growing and dying away: force, x and y at different phases."""
    one, other = film.rng.uniform(0.0, math.tau), film.rng.uniform(0.0, math.tau)
    seconds = cycles / hz

    def act(n: int, done: float) -> None:
        edge = smooth(4.0 * done) * smooth(4.0 * (1.0 - done))
        turn = math.tau * cycles * done
        film.share[n] += edge * share * math.sin(turn)
        film.x[n] += edge * x_mm * math.sin(turn + one)
        film.y[n] += edge * y_mm * math.sin(turn + other)

    return film.each(at_s, seconds, act)


def _talk(film: Film, at_s: float) -> float:
    rng = film.rng
    hz = rng.uniform(0.8, 4.0)
    return _swing(film, at_s, hz * rng.uniform(2.0, 8.0), hz, rng.uniform(0.001, 0.01),
                  rng.uniform(0.0, 3.0), rng.uniform(0.0, 4.0))  # fmt: skip


def _look(film: Film, at_s: float) -> float:
    """Head and trunk turn to somebody, and back."""
    rng = film.rng
    percent = rng.uniform(2.0, 14.0)
    return lean(film, at_s, rng.choice((-1, 1)), percent, rng.uniform(0.4, 1.2),
                rng.uniform(0.3, 3.0))  # fmt: skip


def _bounce(film: Film, at_s: float) -> float:
    """Impatient knees: once, or several times, seldom twice, and small."""
    rng = film.rng
    depth_m = rng.uniform(0.006, 0.03) * film.athlete.height_m
    half_s = max(0.16, quickest_s(depth_m)) * rng.uniform(1.0, 1.3)
    times = rng.choice((1, 2, 3, 4, 5, 6, 8))
    return knee_bends(film, at_s, times, depth_m, half_s, rng.uniform(0.0, 0.1))


def _rock(film: Film, at_s: float) -> float:
    """A dome or a disc goes to and fro under the feet."""
    rng = film.rng
    hz = rng.uniform(0.4, 1.6)
    size = film.athlete.stance_width_mm
    return _swing(film, at_s, rng.randrange(2, 8), hz, rng.uniform(0.005, 0.07),
                  rng.uniform(0.05, 0.25) * size, rng.uniform(0.02, 0.15) * size)  # fmt: skip


def _catch(film: Film, at_s: float) -> float:
    """Balance goes and is caught: the COP runs out, the knees give once, twice or three times."""
    rng = film.rng
    half = 0.5 * film.athlete.stance_width_mm
    run_s, stay_s = rng.uniform(0.12, 0.3), rng.uniform(0.05, 0.7)
    x_mm, y_mm = rng.choice((-1.0, 1.0)) * half * rng.uniform(0.1, 0.9), rng.gauss(0.0, 25.0)
    at_s = film.move(at_s, run_s, x_mm, y_mm)
    for _ in range(rng.randrange(4)):
        depth_m = rng.uniform(0.01, 0.07) * film.athlete.height_m
        half_s = max(0.14, quickest_s(depth_m)) * rng.uniform(1.0, 1.6)
        knee_bends(film, at_s, 1, depth_m, half_s, 0.0)
        at_s += 2.0 * half_s + rng.uniform(0.0, 0.5)
    back_s = rng.uniform(0.15, 0.5)
    film.move(at_s + stay_s, back_s, -x_mm, -y_mm)
    return at_s + stay_s + back_s


def _scratch(film: Film, at_s: float) -> float:
    """One foot scratches the other leg: all of the weight on one side for a moment."""
    rng = film.rng
    return lean(film, at_s, rng.choice((-1, 1)), rng.uniform(35.0, 50.0), rng.uniform(0.2, 0.5),
                rng.uniform(0.1, 1.5))  # fmt: skip


_DO = {
    "talk": _talk,
    "look": _look,
    "bounce": _bounce,
    "rock": _rock,
    "catch": _catch,
    "scratch": _scratch,
}
