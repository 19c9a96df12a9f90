"""The corner loads of a visit to the board as ``swaytrainer check`` asks for it.

Somebody steps on, leans left, right, onto the heels, onto the toes, steps off, lays a mass in the
middle and takes it away again, at the pace of the prompts. A test bench, no evidence about people.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from typing import Final

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete
from swaytrainer.simulate.body import BodyState
from swaytrainer.simulate.scenario import CornerLoads, distribute

#: Holds are long enough for a board whose leans seem to go elsewhere.
_FIRST_HOLD_S: Final = 9.0
_HOLD_S: Final = 5.5
_MOVE_S: Final = 0.9
#: A body's COP wanders this much about a held lean (rms, mm), with this time constant (s); its
#: weight wavers this share with heart and breath. Our own choice.
_SWAY_MM, _SWAY_S, _WAVER = 2.5, 0.6, 0.002


def check_visit(
    athlete: Athlete,
    mass_kg: float,
    rate_hz: float,
    half_width_mm: float,
    half_depth_mm: float,
    seed: int,
    *,
    gravity_m_s2: float = STANDARD_GRAVITY,
    placing_mm: float = 1.0,
) -> Iterator[CornerLoads]:
    """Sample by sample, from the empty board to the empty board.

    Args:
        athlete: who leans.
        mass_kg: laid in the middle, within ± ``placing_mm`` along each axis.
        rate_hz: samples a second.
        half_width_mm, half_depth_mm: the cells stand at (±, ±) these.
        seed: of how far each lean goes, the sway and the placing.
        gravity_m_s2: the place's own.
    """
    rng = random.Random(f"check {seed}")
    weight_n = athlete.mass_kg * gravity_m_s2
    side = 0.5 * athlete.stance_width_mm
    middle = athlete.y_at_toe_share_mm(40.0, HEEL_LINE_MM)
    heels = athlete.y_at_toe_share_mm(rng.uniform(0.0, 10.0), HEEL_LINE_MM)
    toes = athlete.y_at_toe_share_mm(rng.uniform(85.0, 100.0), HEEL_LINE_MM)
    holds = (
        (-side * rng.uniform(0.55, 0.9), middle + rng.gauss(0, 6), _FIRST_HOLD_S),
        (side * rng.uniform(0.55, 0.9), middle + rng.gauss(0, 6), _HOLD_S),
        (rng.gauss(0, 6), heels, _HOLD_S),
        (rng.gauss(0, 6), toes, _HOLD_S),
    )

    def spread(force_n: float, x_mm: float, y_mm: float) -> CornerLoads:
        return distribute(force_n, x_mm, y_mm, half_width_mm, half_depth_mm)

    def nothing(seconds: float) -> Iterator[CornerLoads]:
        return (CornerLoads(0.0, 0.0, 0.0, 0.0) for _ in range(round(seconds * rate_hz)))

    yield from nothing(3.0)
    for force_n, x_mm, y_mm in _leans(holds, weight_n, rate_hz, rng):
        yield spread(force_n, x_mm, y_mm)
    yield from nothing(2.5)
    at_x, at_y = (rng.uniform(-placing_mm, placing_mm) for _ in range(2))
    for _ in range(round(4.0 * rate_hz)):
        yield spread(mass_kg * gravity_m_s2, at_x, at_y)
    yield from nothing(4.0)


def feet_visit(
    athlete: Athlete,
    rate_hz: float,
    half_width_mm: float,
    half_depth_mm: float,
    seed: int,
    *,
    forward_mm: float = 0.0,
    right_mm: float = 0.0,
    reach: float = 1.0,
    supported: float = 0.06,
) -> Iterator[CornerLoads]:
    """A visit as ``swaytrainer feet`` asks for it: heels and balls twice, each foot once.

    Args:
        athlete: whose feet.
        rate_hz, half_width_mm, half_depth_mm, seed: as for ``check_visit``.
        forward_mm, right_mm: how far from the marks the feet stand.
        reach: 1 for toes well lifted; less for one who only leans that way.
        supported: share of the weight that a hand on the support takes.
    """
    rng = random.Random(f"feet {seed}")
    side = 0.5 * athlete.stance_width_mm
    line = HEEL_LINE_MM + forward_mm
    even = athlete.y_at_toe_share_mm(38.0, line)

    def at(toe_share_percent: float) -> float:
        wanted = athlete.y_at_toe_share_mm(toe_share_percent, line)
        return even + reach * (wanted - even) + rng.gauss(0.0, 2.0)

    def beside(x_mm: float) -> float:
        return right_mm + x_mm + rng.gauss(0.0, 4.0)

    holds = (
        (beside(0.0), even, 3.5),
        (beside(0.0), at(0.0), 3.5),
        (beside(0.0), at(100.0), 3.5),
        (beside(0.0), at(0.0), 3.5),
        (beside(0.0), at(100.0), 3.5),
        (beside(-side), even, 3.5),
        (beside(side), even, 3.5),
    )
    nothing = CornerLoads(0.0, 0.0, 0.0, 0.0)
    yield from (nothing for _ in range(round(3.0 * rate_hz)))
    weight_n = athlete.mass_kg * STANDARD_GRAVITY * (1.0 - supported)
    for state in _leans(holds, weight_n, rate_hz, rng):
        yield distribute(*state, half_width_mm, half_depth_mm)
    yield from (nothing for _ in range(round(2.5 * rate_hz)))


def _leans(
    holds: tuple[tuple[float, float, float], ...],
    weight_n: float,
    rate_hz: float,
    rng: random.Random,
) -> Iterator[BodyState]:
    """Force and COP of one who steps on, leans from hold to hold (x, y, s), and steps off."""
    keep = math.exp(-1.0 / (rate_hz * _SWAY_S))
    kick = _SWAY_MM * math.sqrt(1.0 - keep * keep)
    wander_x = wander_y = 0.0
    from_x, from_y, sample, share = holds[0][0], holds[0][1], 0, 0.0
    for x, y, hold_s in holds:
        move = round(_MOVE_S * rate_hz)
        for n in range(move + round(hold_s * rate_hz)):
            done = 0.5 - 0.5 * math.cos(math.pi * min(1.0, n / move))
            share = max(share, done)  # stepping on: the weight comes with the first lean
            wander_x = keep * wander_x + rng.gauss(0, kick)
            wander_y = keep * wander_y + rng.gauss(0, kick)
            waver = 1.0 + _WAVER * math.sin(2.0 * math.pi * 1.1 * sample / rate_hz)
            yield BodyState(
                share * weight_n * waver,
                from_x + done * (x - from_x) + wander_x,
                from_y + done * (y - from_y) + wander_y,
            )
            sample += 1
        from_x, from_y = x, y
    for n in range(round(0.8 * rate_hz)):
        yield BodyState(weight_n * (1.0 - n / (0.8 * rate_hz)), from_x, from_y)
