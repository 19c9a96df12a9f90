"""A board's calibration: from raw counts to newtons, and where the cells really are.

Its file is ``calibration_file``'s.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces

CORNERS: Final = ("front_left", "front_right", "rear_left", "rear_right")

Vector4 = tuple[float, float, float, float]
#: Newtons at all cells of a board: four, or eight with two plates.
Loads = tuple[float, ...]
NO_CROSS_TALK: Final[tuple[Vector4, ...]] = (
    (1.0, 0.0, 0.0, 0.0),
    (0.0, 1.0, 0.0, 0.0),
    (0.0, 0.0, 1.0, 0.0),
    (0.0, 0.0, 0.0, 1.0),
)
Channels = tuple[int, int, int, int]
AS_BUILT: Final[Channels] = (0, 1, 2, 3)

#: Moments are divided by this, so that force and moments are all newtons of like size.
LEVER_MM: Final = 100.0
#: 95 % of a normal distribution lie within ± this many standard deviations (GUM, JCGM 100:2008,
#: table G.1).
COVERAGE_95: Final = 1.96


class Expanded(NamedTuple):
    """By how much force (N) and COP (mm) may be off, either way, with a probability of 95 %."""

    force_n: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """How well a calibration knows its board, by the GUM (JCGM 100:2008).

    What a calibrated board says is linear in what stands on it: with
    w = (F, F·x/100 mm, F·y/100 mm) it shows w + E·w, where E (3×3) is the calibration's unknown
    error. Kept is the covariance of E's nine elements, row after row, so that force and COP have
    an uncertainty at any spot and under any load: u² = c·V·c with the sensitivities c of
    ``expanded`` (GUM 5.2.2, correlated inputs). To it comes what is not the calibration's: each
    cell's zero after a tare.

    Attributes:
        covariance: V, the lower triangle, rows of 1 to 9 numbers, dimensionless.
        zero_n: standard uncertainty of one cell's zero after a tare, N.
        noise_n: measured rms noise of one sample of one cell, N; not in the uncertainty, which is
            that of a mean.
    """

    covariance: tuple[tuple[float, ...], ...]
    zero_n: float
    noise_n: float

    def expanded(self, places: CellPlaces, force_n: float, x_mm: float, y_mm: float) -> Expanded:
        """Expanded uncertainty (95 %) of the mean force and COP of a load at one spot.

        Args:
            places: where the cells are, for what a wrong zero does to the COP.
            force_n: above zero.
            x_mm, y_mm: where it presses.
        """
        spot = (1.0, x_mm / LEVER_MM, y_mm / LEVER_MM)
        nought = (0.0, 0.0, 0.0)
        # δF/F = E₀·spot; δx = 100 mm·(E₁·spot) - x·(E₀·spot), because x = 100 mm·w₁/w₀.
        force = (*spot, *nought, *nought)
        across = (*(-x_mm * s for s in spot), *(LEVER_MM * s for s in spot), *nought)
        along = (*(-y_mm * s for s in spot), *nought, *(LEVER_MM * s for s in spot))
        zero = (self.zero_n / force_n) ** 2
        zeros = (
            zero * 4.0,
            zero * math.fsum((p[0] - x_mm) ** 2 for p in places),
            zero * math.fsum((p[1] - y_mm) ** 2 for p in places),
        )
        u_force, u_x, u_y = (
            COVERAGE_95 * math.sqrt(max(0.0, self._variance(c)) + z)
            for c, z in zip((force, across, along), zeros, strict=True)
        )
        return Expanded(force_n * u_force, u_x, u_y)

    def _variance(self, c: tuple[float, ...]) -> float:
        return math.fsum(
            (1.0 if i == j else 2.0) * c[i] * c[j] * value
            for i, row in enumerate(self.covariance)
            for j, value in enumerate(row)
        )


@dataclass(frozen=True, slots=True)
class Calibration:
    """How one board's counts become loads.

    ``load_i = Σ_j cross_talk[i][j] · gain_j · (count_channels[j] - offset_j)``

    Attributes:
        board_id: 16 hex digits, as in the board's hello.
        made: when, with a time zone.
        gain_n_per_count: one a cell, order of ``CORNERS``; negative for a cell wired the other
            way round.
        offset_counts: the empty board's counts when it was calibrated.
        places: where the cells are, mm.
        cross_talk: 4×4, the identity if it was not measured.
        channels: which of the board's four counts is each corner's; 0 to 3 unless two cells'
            cables are swapped.
        load_threshold_n: below this total there is no centre of pressure.
        load_limit_kg: what may stand on it.
        heel_line_mm: y of the line that the backs of the heels stand on.
        residual_n, residual_mm: RMS residuals of the fit, of force and of place; NaN if unknown.
        gravity_m_s2: what the masses were multiplied by, NaN if unknown.
        uncertainty: how well all this is known, None for a calibration that doesn't say.
    """

    board_id: str
    made: datetime
    gain_n_per_count: Vector4
    offset_counts: Vector4
    places: CellPlaces
    cross_talk: tuple[Vector4, ...] = NO_CROSS_TALK
    load_threshold_n: float = 40.0
    load_limit_kg: float = 120.0
    heel_line_mm: float = -120.0
    residual_n: float = math.nan
    residual_mm: float = math.nan
    gravity_m_s2: float = math.nan
    uncertainty: Uncertainty | None = None
    channels: Channels = AS_BUILT

    def expanded(self, force_n: float, x_mm: float, y_mm: float) -> Expanded | None:
        """What force and COP may be off by at one spot (95 %), None if it is not known."""
        if self.uncertainty is None:
            return None
        return self.uncertainty.expanded(self.places, force_n, x_mm, y_mm)

    def loads(self, counts: Sequence[float], tare_n: Loads = (0.0, 0.0, 0.0, 0.0)) -> Vector4:
        """Newtons at the four cells, order of ``CORNERS``, less the tare.

        >>> made = datetime.fromisoformat("2026-01-31T10:00:00+00:00")
        >>> plate = Calibration("00000000000000a1", made, (0.01,) * 4, (1000.0,) * 4,
        ...                     CellPlaces.rectangle(200, 150))
        >>> plate.loads((11000, 1000, 1000, 1000))
        (100.0, 0.0, 0.0, 0.0)
        """
        c0, c1, c2, c3 = counts
        if self.channels is not AS_BUILT:
            c0, c1, c2, c3 = (counts[n] for n in self.channels)
        g0, g1, g2, g3 = self.gain_n_per_count
        o0, o1, o2, o3 = self.offset_counts
        t0, t1, t2, t3 = tare_n
        a, b, c, d = g0 * (c0 - o0), g1 * (c1 - o1), g2 * (c2 - o2), g3 * (c3 - o3)
        if self.cross_talk is not NO_CROSS_TALK:
            a, b, c, d = _times(self.cross_talk, (a, b, c, d))
        return (a - t0, b - t1, c - t2, d - t3)

    def for_board(self, board_id: str) -> Calibration:
        """Itself, if it belongs to that board.

        Raises:
            SwaytrainerError: it is another board's.
        """
        if board_id != self.board_id:
            raise SwaytrainerError(
                f"This calibration is of board {self.board_id}, but board {board_id} is connected.",
                "Connect the right board, or calibrate this one with 'swaytrainer calibrate'.",
            )
        return self


def _times(matrix: tuple[Vector4, ...], w: Vector4) -> Vector4:
    a, b, c, d = (row[0] * w[0] + row[1] * w[1] + row[2] * w[2] + row[3] * w[3] for row in matrix)
    return (a, b, c, d)
