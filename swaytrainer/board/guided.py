"""Guided calibration: an empty board, then one known mass on marked spots, then the fit.

Unknown are the four gains; the offsets are the empty board's counts. A mass m at (x, y) obeys
three equations, Σ k_i·c_i = m·g, Σ k_i·c_i·x_i = m·g·x and Σ k_i·c_i·y_i = m·g·y (force and
moment balance of the plate), so two spots already determine four gains and five leave eleven
equations over to judge the fit by.

Cross-talk and the cells' true places are not fitted here: they are taken as built.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

import numpy as np

from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces

STANDARD_GRAVITY: Final = 9.80665
_STEADY_FOR_S: Final = 1.0
#: A fit worse than this is refused; a home-built board should do ten times better.
_WORST_RESIDUAL_SHARE: Final = 0.03
_WORST_PLACE_MM: Final = 8.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A marked spot of the plate (mm), and how to call it."""

    name: str
    x_mm: float
    y_mm: float


def marked_spots(half_width_mm: float, half_depth_mm: float) -> tuple[Spot, ...]:
    """The five marks: the middle, and half-way towards each cell."""
    x, y = half_width_mm / 2, half_depth_mm / 2
    return (
        Spot("the middle", 0.0, 0.0),
        Spot("front left", -x, y),
        Spot("front right", x, y),
        Spot("rear left", -x, -y),
        Spot("rear right", x, -y),
    )


@dataclass(frozen=True, slots=True)
class Placed:
    """Mean counts while a known mass lay on a spot; the empty board's has no mass."""

    spot: Spot
    mass_kg: float
    counts: Vector4


@dataclass(frozen=True, slots=True)
class Fit:
    """A calibration and how well it fits: RMS residual in N, and the worst place error in mm."""

    calibration: Calibration
    residual_n: float
    worst_place_mm: float


def fit_gains(
    board_id: str,
    made: datetime,
    places: CellPlaces,
    empty: Vector4,
    placed: Sequence[Placed],
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> Fit:
    """Least squares for the four gains.

    Args:
        board_id, made: for the file.
        places: where the cells are, mm.
        empty: the empty board's mean counts.
        placed: at least three, at different spots.
        gravity_m_s2: the place's own, if known.

    Raises:
        SwaytrainerError: too few or too similar spots, or residuals that no sound board leaves.
    """
    again = "Start the calibration again: " + (
        "put the mass exactly on each mark, and nothing else on the board."
    )
    if len(placed) < 3:
        raise SwaytrainerError(f"{len(placed)} spots are too few to calibrate.", again)
    where = np.asarray(places)  # (4, 2)
    rows, wanted = [], []
    for p in placed:
        change = np.subtract(p.counts, empty)
        newton = p.mass_kg * gravity_m_s2
        # Moments are divided by a length, so that all equations are in newtons.
        for lever, target in (
            (np.ones(4), 1.0),
            (where[:, 0] / _SCALE_MM, p.spot.x_mm / _SCALE_MM),
            (where[:, 1] / _SCALE_MM, p.spot.y_mm / _SCALE_MM),
        ):
            rows.append(change * lever)
            wanted.append(newton * target)
    matrix, target_n = np.array(rows), np.array(wanted)
    scale = np.abs(matrix).max(axis=0)
    if not np.all(scale > 0):
        dead = [name for name, s in zip(_NAMES, scale, strict=True) if s == 0]
        raise SwaytrainerError(
            f"The {dead[0]} cell never moved.", "Check its cable, then calibrate again."
        )
    solution, *_, singular = np.linalg.lstsq(matrix / scale, target_n, rcond=None)
    if singular[-1] < 0.02 * singular[0]:
        raise SwaytrainerError("The spots are too much alike to tell the cells apart.", again)
    gains = solution / scale
    residual = matrix @ gains - target_n
    rms = float(np.sqrt(np.mean(residual**2)))
    heaviest_n = max(p.mass_kg for p in placed) * gravity_m_s2
    worst_mm = 0.0
    for p in placed:
        load = gains * np.subtract(p.counts, empty)
        off = load @ where / load.sum() - (p.spot.x_mm, p.spot.y_mm)
        worst_mm = max(worst_mm, float(math.hypot(*off)))
    if rms > _WORST_RESIDUAL_SHARE * heaviest_n or worst_mm > _WORST_PLACE_MM:
        raise SwaytrainerError(
            f"The fit leaves {rms:.1f} N and {worst_mm:.1f} mm: a mass lay beside its mark, its"
            " weight was wrong, or a cell binds.",
            again,
        )
    a, b, c, d = (float(v) for v in gains)
    calibration = Calibration(board_id, made, (a, b, c, d), empty, places, residual_n=round(rms, 4))
    return Fit(calibration, rms, worst_mm)


_SCALE_MM: Final = 200.0
_NAMES: Final = ("front left", "front right", "rear left", "rear right")


class Guide:
    """Watches raw counts and takes each spot's mean once the mass lies still there.

    Pure: fed with samples, asked for what to do next.

    Args:
        spots: in the order in which the mass is to be moved.
        mass_kg: the known mass.
    """

    def __init__(self, spots: Sequence[Spot], mass_kg: float) -> None:
        self.spots = tuple(spots)
        self.mass_kg = mass_kg
        self.empty: Vector4 | None = None
        self.placed: list[Placed] = []
        self._window: deque[tuple[float, Vector4]] = deque()
        self._last: Vector4 | None = None

    @property
    def done(self) -> bool:
        """All spots are taken."""
        return len(self.placed) == len(self.spots)

    @property
    def instruction(self) -> str:
        """What to do now, one line."""
        if self.empty is None:
            return "Leave the board empty."
        if self.done:
            return "Done: take the mass off."
        return f"Put {self.mass_kg:g} kg on {self.spots[len(self.placed)].name}."

    def update(self, time_s: float, counts: Vector4) -> bool:
        """Take one sample's counts; True when something was just taken."""
        window = self._window
        window.append((time_s, counts))
        while time_s - window[0][0] > _STEADY_FOR_S:
            window.popleft()
        if self.done or time_s - window[0][0] < 0.9 * _STEADY_FOR_S:
            return False
        values = np.array([c for _, c in window])
        # Cell by cell: a mass that is moved keeps their sum.
        spread = float(np.ptp(values, axis=0).max())
        mean = values.mean(axis=0)
        a, b, c, d = (float(v) for v in mean)
        if self.empty is None:
            if spread > _STEADY_COUNTS:
                return False
            self.empty = (a, b, c, d)
        else:
            # The mass lies still, and lies elsewhere than before; and it does lie there: a mass
            # that is carried leaves the board empty for a while.
            step = float(np.abs(mean - np.array(self._last)).max())
            load = float(np.abs(mean - np.array(self.empty)).max())
            if spread > _STEADY_COUNTS or min(step, load) < _MOVED_COUNTS:
                return False
            spot = self.spots[len(self.placed)]
            self.placed.append(Placed(spot, self.mass_kg, (a, b, c, d)))
        self._last = (a, b, c, d)
        window.clear()
        return True


#: Counts of a 24-bit converter: some thirty times its noise, and far below the step of a mass.
_STEADY_COUNTS: Final = 1200.0
_MOVED_COUNTS: Final = 4000.0
