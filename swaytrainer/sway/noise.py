"""The board's own noise floor: the path and speed that it would show under a dead weight.

A board's noise makes a COP wander even where nothing moves, the more the lighter the load:
σ_x = 2·a·σ/F for four cells at x = ±a with σ newtons rms each (error propagation of
x = a(FR + RR - FL - RL)/F). A path is lengthened by it, so a floor stands beside every path and
speed; it holds at the same rate, filter and force only.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array, Places
from swaytrainer.sway.path import path
from swaytrainer.sway.prepare import prepare

#: Noise and sway add up like the sides of a right angle, where both are random: a floor of a third
#: of a value lengthens it by √(1 + 1/9) - 1 = 5 %.
NEAR_SHARE: Final = 1.0 / 3.0
#: Within this of nothing, N, a board is empty and nobody touches it.
QUIET_N: Final = 5.0
LEAST_S: Final = 0.9
_EDGE_S: Final = 0.25
_MOST_S: Final = 30.0


class NoiseFloor(NamedTuple):
    """What the same pipeline makes of noise alone.

    Attributes:
        seconds: of noise that was looked at.
        force_n: the force that it is scaled to.
        cell_noise_n: rms of a cell's samples, unfiltered, mean of the four in power.
        mean_speed_mm_s, mean_speed_ml_mm_s, mean_speed_ap_mm_s: of the COP that noise makes; times
            a duration, its path.
    """

    seconds: float
    force_n: float
    cell_noise_n: float
    mean_speed_mm_s: float
    mean_speed_ml_mm_s: float
    mean_speed_ap_mm_s: float


def cop_noise_mm(cell_noise_n: float, half_mm: float, force_n: float) -> float:
    """rms noise of the unfiltered COP along one axis: 2·a·σ/F.

    >>> round(cop_noise_mm(0.018, 220.0, 500.0), 4)
    0.0158
    """
    return 2.0 * half_mm * cell_noise_n / force_n


def white_path_mm_s(cop_mm: float, rate_hz: float) -> float:
    """Path a second of unfiltered white COP noise of this rms along both axes: √π·σ·rate.

    A step between two samples has √2·σ along each axis, its length a mean of √(π/2) times that
    (Rayleigh's distribution).

    >>> round(white_path_mm_s(0.016, 80.0), 2)
    2.27
    """
    return math.sqrt(math.pi) * cop_mm * rate_hz


def noise_floor(
    time_s: Array,
    loads_n: Array,
    places: Places,
    force_n: float,
    x_mm: float = 0.0,
    y_mm: float = 0.0,
    *,
    cutoff_hz: float | None = 10.0,
) -> NoiseFloor:
    """The floor from a stretch of an empty board, or of one under a dead weight.

    The noise (loads less their means) is laid upon the steady loads of ``force_n`` at (x, y) and
    sent through ``prepare`` like any trial.

    Args:
        time_s: shape (N,), without gaps.
        loads_n: shape (N, cells), N.
        places: where the cells are, mm.
        force_n: what to scale to: the vaulter's weight.
        x_mm, y_mm: where the vaulter's mean COP is.
        cutoff_hz: as in the analysis that it stands beside.

    Raises:
        SwaytrainerError: too short, or no force.
    """
    if not force_n > 0.0:
        raise SwaytrainerError(
            f"There is no noise of a COP under {force_n:g} N.", "Give the body's weight in newtons."
        )
    noise = loads_n - loads_n.mean(axis=0)
    # Any steady loads with this force and COP will do: the noise is all that moves.
    basis = np.column_stack([np.ones(len(places)), np.asarray(places)])
    wanted = force_n * np.array([1.0, x_mm, y_mm])
    steady = np.linalg.lstsq(basis.T, wanted, rcond=None)[0]
    trace = prepare(time_s, noise + steady, places, cutoff_hz=cutoff_hz)
    walked = path(trace.time_s, trace.x_mm, trace.y_mm, trace.breaks)
    return NoiseFloor(
        trace.duration_s,
        force_n,
        float(np.sqrt(np.mean(noise**2))),
        walked.mean_speed_mm_s,
        walked.mean_speed_ml_mm_s,
        walked.mean_speed_ap_mm_s,
    )


def near_floor(value: float, floor: float) -> bool:
    """Whether noise lengthens a path or speed by more than some 5 %."""
    return floor > NEAR_SHARE * value


class EmptySpell:
    """Keeps the longest stretch of an empty, untouched board out of a stream of tared loads.

    A quarter of a second at each end is left out: somebody is about to step on.
    """

    def __init__(self) -> None:
        self._run: list[tuple[float, ...]] = []
        self._best: list[tuple[float, ...]] = []

    def update(self, time_s: float, loads_n: tuple[float, ...], gap: bool) -> None:
        """Take one sample; ``gap``: the interval before it is not to be bridged."""
        quiet = abs(sum(loads_n)) < QUIET_N
        if gap or not quiet:
            self._end()
        if quiet and not (self._run and time_s - self._run[0][0] > _MOST_S):
            self._run.append((time_s, *loads_n))

    def _end(self) -> None:
        if len(self._run) > len(self._best):
            self._best = self._run
        self._run = []

    def get(self) -> tuple[Array, Array] | None:
        """Times (N,) and loads (N, cells); None if it was never empty for long enough."""
        run = self._run if len(self._run) > len(self._best) else self._best
        if not run or run[-1][0] - run[0][0] < LEAST_S + 2.0 * _EDGE_S:
            return None
        begin_s, end_s = run[0][0] + _EDGE_S, run[-1][0] - _EDGE_S
        kept = np.array([s for s in run if begin_s <= s[0] <= end_s])
        return kept[:, 0], kept[:, 1:]
