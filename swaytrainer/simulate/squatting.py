"""The corner loads of squats whose depth, tempo and heel-loss are known.

The centre of mass goes down and up by minimum-jerk movements, z(τ) = D·(10τ³ - 15τ⁴ + 6τ⁵)
(Flash & Hogan, J Neurosci 1985;5:1688-1703), whose greatest acceleration is 10/√3·D/T² at
τ = (1 - 1/√3)/2. The force is the weight with that acceleration and the waver of a standing body;
the COP is a standing body's, moved forward as the depth says. Inertia of trunk and legs is left
out of the COP. A test bench, **never** evidence about people.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.simulate.athlete import HEEL_LINE_MM, Athlete
from swaytrainer.simulate.body import ORDINARY, Manner, StandingBody
from swaytrainer.simulate.scenario import distribute
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet

Array = NDArray[np.float64]

PEAK_ACCELERATION: Final = 10.0 / math.sqrt(3.0)
"""Of a minimum-jerk movement, in D/T²: 60τ(1 - τ)(1 - 2τ) at τ = (1 - 1/√3)/2."""


@dataclass(frozen=True, slots=True)
class Squat:
    """One way down, a hold, one way up, and a rest.

    Attributes:
        depth_mm: of the centre of mass, below standing.
        down_s, hold_s, up_s, rest_s: how long each part takes.
        end_mm: height at which it comes to rest, 0 for standing as before, below zero for knees
            still bent.
        half_way_s: pause half-way down; 0 for none, which is one movement.
    """

    depth_mm: float
    down_s: float = 1.5
    hold_s: float = 0.5
    up_s: float = 1.2
    rest_s: float = 1.0
    end_mm: float = 0.0
    half_way_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Heels:
    """How the soles follow the depth.

    Attributes:
        toe_share_percent: standing.
        loss_depth_mm: depth at which the toe share crosses ``edge_percent``; None: it stays.
        edge_percent: the upper edge of the band.
        right_share_percent: standing.
        right_shift_percent: added to it at the deepest point, in proportion to the depth.
    """

    toe_share_percent: float = 42.0
    loss_depth_mm: float | None = None
    edge_percent: float = 50.0
    right_share_percent: float = 50.0
    right_shift_percent: float = 0.0


@dataclass(frozen=True, slots=True)
class Hand:
    """A hand on a support that bears a share of the weight for some time."""

    from_s: float
    to_s: float
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class SquatTrial:
    """What the board sees, and the truth.

    Attributes:
        time_s: shape (N,).
        loads_n: shape (N, 4), with the cells' noise and drift.
        height_mm: shape (N,), of the centre of mass, standing is 0.
        toe_share_percent: shape (N,), without sway.
        squats: what was done.
        feet: where the feet stand.
        weight_n: of the body.
    """

    time_s: Array
    loads_n: Array
    height_mm: Array
    toe_share_percent: Array
    squats: tuple[Squat, ...]
    feet: Feet
    weight_n: float


def minimum_jerk(tau: Array) -> Array:
    """Way done, 0 to 1, at the share ``tau`` of the time.

    >>> minimum_jerk(np.array([-1.0, 0.0, 0.5, 1.0, 2.0])).tolist()
    [0.0, 0.0, 0.5, 1.0, 1.0]
    """
    tau = np.clip(tau, 0.0, 1.0)
    done: Array = tau**3 * (10.0 - 15.0 * tau + 6.0 * tau**2)
    return done


def minimum_jerk_acceleration(tau: Array) -> Array:
    """Its second derivative, in units of D/T²; 0 outside.

    >>> at = np.array([0.5 - 0.5 / math.sqrt(3.0)])
    >>> round(float(minimum_jerk_acceleration(at)[0]), 4), round(PEAK_ACCELERATION, 4)
    (5.7735, 5.7735)
    """
    tau = np.clip(tau, 0.0, 1.0)
    second: Array = 60.0 * tau * (1.0 - tau) * (1.0 - 2.0 * tau)
    return second


def squat_trial(
    athlete: Athlete,
    squats: Sequence[Squat],
    rate_hz: float = 80.0,
    seed: int = 0,
    *,
    heels: Heels = Heels(),
    manner: Manner | None = ORDINARY,
    stand_s: float = 3.0,
    cell_noise_n: float = 0.018,
    drift_n_s: float = 0.0,
    hands: Sequence[Hand] = (),
    half_width_mm: float = 220.0,
    half_depth_mm: float = 220.0,
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> SquatTrial:
    """Stand, squat, stand.

    Args:
        athlete: who squats.
        squats: in order.
        rate_hz: samples a second.
        seed: of sway, waver and cell noise.
        heels: how the soles follow.
        manner: how the vaulter sways; None for a body that doesn't.
        stand_s: still stand before the first and after the last.
        cell_noise_n: rms of each cell's samples, white.
        drift_n_s: by which each cell's zero creeps, the same for all.
        hands: on a support.
        half_width_mm, half_depth_mm: the cells stand at (±, ±) these.
        gravity_m_s2: the place's own.
    """
    moves = _moves(squats, stand_s)
    total_s = moves[-1][0] + moves[-1][1] + (squats[-1].rest_s if squats else 0.0) + stand_s
    time_s = np.arange(round(total_s * rate_hz)) / rate_hz
    height = np.zeros_like(time_s)
    lift = np.zeros_like(time_s)
    for start_s, seconds, way_mm in moves:
        tau = (time_s - start_s) / seconds
        height += way_mm * minimum_jerk(tau)
        lift += way_mm / seconds**2 * minimum_jerk_acceleration(tau)
    weight = athlete.mass_kg * gravity_m_s2
    force = np.full(time_s.size, weight)
    sway_x = np.zeros_like(time_s)
    sway_y = np.zeros_like(time_s)
    if manner is not None:
        body = StandingBody(athlete, manner=manner, seed=seed, gravity_m_s2=gravity_m_s2)
        states = np.array([body.step(1.0 / rate_hz) for _ in range(time_s.size)])
        force = states[:, 0].copy()
        sway_x = states[:, 1] - (manner.right_share_percent / 100.0 - 0.5) * athlete.stance_width_mm
        sway_y = states[:, 2] - athlete.y_at_toe_share_mm(manner.toe_share_percent, HEEL_LINE_MM)
    force *= 1.0 + lift / 1000.0 / gravity_m_s2
    for hand in hands:
        held = (time_s >= hand.from_s) & (time_s < hand.to_s)
        force[held] -= hand.share * weight
    depth = np.maximum(-height, 0.0)
    toes = np.full(time_s.size, heels.toe_share_percent)
    if heels.loss_depth_mm is not None:
        beyond = heels.edge_percent - heels.toe_share_percent
        toes = np.minimum(toes + beyond * (depth / heels.loss_depth_mm) ** 2, 105.0)
    deepest = max((squat.depth_mm for squat in squats), default=1.0)
    right = heels.right_share_percent + heels.right_shift_percent * depth / deepest
    x_mm = sway_x + (right / 100.0 - 0.5) * athlete.stance_width_mm
    lever = (BALL_SHARE - HEEL_SHARE) * athlete.foot_length_mm
    y_mm = sway_y + athlete.y_at_toe_share_mm(0.0, HEEL_LINE_MM) + toes / 100.0 * lever
    loads = np.array(
        [
            distribute(f, x, y, half_width_mm, half_depth_mm)
            for f, x, y in zip(force.tolist(), x_mm.tolist(), y_mm.tolist(), strict=True)
        ]
    )
    noise = np.random.default_rng(seed).normal(0.0, cell_noise_n, loads.shape)
    return SquatTrial(
        time_s,
        loads + noise + (drift_n_s * time_s)[:, None],
        height,
        toes,
        tuple(squats),
        Feet.from_length(athlete.foot_length_mm, athlete.stance_width_mm, HEEL_LINE_MM),
        weight,
    )


def _moves(squats: Sequence[Squat], stand_s: float) -> list[tuple[float, float, float]]:
    """Start (s), duration (s) and way (mm, up positive) of each movement."""
    moves = []
    now_s, height = stand_s, 0.0
    for squat in squats:
        down = -squat.depth_mm - height
        if squat.half_way_s > 0.0:
            half_s = 0.5 * squat.down_s
            moves += [(now_s, half_s, 0.5 * down)]
            moves += [(now_s + half_s + squat.half_way_s, half_s, 0.5 * down)]
        else:
            moves.append((now_s, squat.down_s, down))
        now_s += squat.down_s + squat.half_way_s + squat.hold_s
        moves.append((now_s, squat.up_s, squat.end_mm + squat.depth_mm))
        now_s += squat.up_s + squat.rest_s
        height = squat.end_mm
    return moves or [(stand_s, 1.0, 0.0)]
