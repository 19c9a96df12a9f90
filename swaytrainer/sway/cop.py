"""From four corner loads to force, centre of pressure (COP) and twist.

Frame: the board seen from above, the vaulter facing forward; origin at the plate's centre,
x to the right, y forward (Scoppa, Capra, Gallamini & Shiffer, Gait & Posture 2013;37:290-292).
Loads are newtons, downward on the plate positive; lengths are millimetres; times are seconds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

NAN = math.nan

#: A COP that moves less than this (a picometre) stands still: what is left is rounding. The board
#: itself resolves a million times as much.
DUST_MM = 1e-9


#: Where cells are, (x, y) in mm: four, or eight of two plates, the left plate's first.
Places = Sequence[tuple[float, float]]


class CopSample(NamedTuple):
    """Force, COP and twist at one board time.

    ``x_mm`` and ``y_mm`` are NaN while ``force_n`` is below the load threshold: an empty board
    has no centre of pressure. ``twist_n`` is front_left - front_right - rear_left + rear_right:
    it says nothing about the vaulter, but that the plate rocks or a cell binds.
    """

    time_s: float
    force_n: float
    x_mm: float
    y_mm: float
    twist_n: float


class CellPlaces(NamedTuple):
    """Where a plate's four cells really are, (x, y) in mm, in the wire's order."""

    front_left: tuple[float, float]
    front_right: tuple[float, float]
    rear_left: tuple[float, float]
    rear_right: tuple[float, float]

    @classmethod
    def rectangle(cls, half_width_mm: float, half_depth_mm: float) -> CellPlaces:
        """Four cells at (±half_width, ±half_depth) about the plate's centre."""
        a, b = half_width_mm, half_depth_mm
        return cls((-a, b), (a, b), (-a, -b), (a, -b))


def cop_arrays(
    loads_n: Array, places: Places, threshold_n: float
) -> tuple[Array, Array, Array, Array]:
    """Force (N), COP x and y (mm) and twist (N) for many samples at once.

    COP = Σ F_i·p_i / ΣF_i, the moment balance of a plate resting on point supports.

    Args:
        loads_n: shape (N, 4), newtons, in the order of ``CellPlaces``; or (N, 8) of two plates.
            Of two, the twist is the larger one's.
        places: where the cells are, mm.
        threshold_n: below this force the COP is NaN.

    Returns:
        Four arrays of shape (N,).

    >>> places = CellPlaces.rectangle(200.0, 150.0)
    >>> force, x, y, twist = cop_arrays(np.array([[100.0, 300.0, 100.0, 300.0]]), places, 20.0)
    >>> float(force[0]), float(x[0]), float(y[0]), float(twist[0])
    (800.0, 100.0, 0.0, 0.0)
    """
    where = np.asarray(places, dtype=np.float64)
    force = loads_n.sum(axis=1)
    moments = loads_n @ where
    divisor = np.where(force >= threshold_n, force, np.nan)
    twists = loads_n.reshape(len(loads_n), -1, 4) @ np.array([1.0, -1.0, -1.0, 1.0])
    twist = twists[np.arange(len(twists)), np.abs(twists).argmax(axis=1)]
    return force, moments[:, 0] / divisor, moments[:, 1] / divisor, twist
