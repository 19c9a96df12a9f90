"""Two plates, one a foot, on one board: eight cells whose loads are one source.

The joint frame lies midway between the plates' middles, x to the right, y forward; each plate's
own frame is moved half their distance to its side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Final

from swaytrainer.board.calibration import Calibration, Expanded, Loads
from swaytrainer.errors import SwaytrainerError

#: Middle to middle. Nearer than a plate is wide they can't lie, wider nobody stands.
APART_MM: Final = (60.0, 1000.0)


class Plate(StrEnum):
    """Which of the two."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class PairCalibration:
    """How the counts of two plates become loads. Serves wherever a ``Calibration`` does.

    Attributes:
        left, right: of each plate, as if it were a board by itself, with the pair's board id.
        apart_mm: from the middle of the left plate to the middle of the right one.

    Raises:
        SwaytrainerError: the two are of different boards, or can't lie so far apart.
    """

    left: Calibration
    right: Calibration
    apart_mm: float

    def __post_init__(self) -> None:
        if self.left.board_id != self.right.board_id:
            raise SwaytrainerError(
                f"The left plate is of board {self.left.board_id}, the right one of"
                f" {self.right.board_id}.",
                "Calibrate both plates of one board.",
            )
        low, high = APART_MM
        if not low <= self.apart_mm <= high:
            raise SwaytrainerError(
                f"Two plates can't lie {self.apart_mm:g} mm apart.",
                f"Measure from middle to middle: {low:g} to {high:g} mm.",
            )

    @property
    def board_id(self) -> str:
        """16 hex digits, as in the board's hello."""
        return self.left.board_id

    @property
    def made(self) -> datetime:
        """When the later of the two was made."""
        return max(self.left.made, self.right.made)

    @property
    def load_threshold_n(self) -> float:
        """Below this total there is no joint centre of pressure."""
        return max(self.left.load_threshold_n, self.right.load_threshold_n)

    @property
    def load_limit_kg(self) -> float:
        """What may stand on the two: no more than on one, since somebody may stand on one."""
        return min(self.left.load_limit_kg, self.right.load_limit_kg)

    @property
    def heel_line_mm(self) -> float:
        """Midway between the plates' own heel lines."""
        return 0.5 * (self.left.heel_line_mm + self.right.heel_line_mm)

    @property
    def places(self) -> tuple[tuple[float, float], ...]:
        """The eight cells in the joint frame, left plate first."""
        half = 0.5 * self.apart_mm
        return (
            *((x - half, y) for x, y in self.left.places),
            *((x + half, y) for x, y in self.right.places),
        )

    def loads(self, counts: Sequence[float], tare_n: Sequence[float] = (0.0,) * 8) -> Loads:
        """Newtons at the eight cells, left plate first, less the tare."""
        tare = tuple(tare_n)
        return self.left.loads(counts[:4], tare[:4]) + self.right.loads(counts[4:], tare[4:])

    def expanded(self, force_n: float, x_mm: float, y_mm: float) -> Expanded | None:
        """What joint force and COP may be off by (95 %), None if a plate's is not known.

        The load is shared between the plates' middles as the joint COP says. With each plate's
        force and COP uncertain by themselves, x = (F_l·x_l + F_r·x_r)/F gives (GUM, JCGM 100:2008,
        5.1.2) u²(x) = Σ (F_p/F·u(x_p))² + Σ ((x_p - x)/F·u(F_p))², and likewise y.
        """
        half = 0.5 * self.apart_mm
        right_share = min(max(0.5 + x_mm / self.apart_mm, 0.02), 0.98)
        across = along = total = 0.0
        for plate, middle, share in (
            (self.left, -half, 1.0 - right_share),
            (self.right, half, right_share),
        ):
            own = plate.expanded(force_n * share, 0.0, y_mm)
            if own is None:
                return None
            total += own.force_n**2
            across += (share * own.x_mm) ** 2 + ((middle - x_mm) * own.force_n / force_n) ** 2
            along += (share * own.y_mm) ** 2
        return Expanded(math.sqrt(total), math.sqrt(across), math.sqrt(along))

    def for_board(self, board_id: str) -> PairCalibration:
        """Itself, if it belongs to that board.

        Raises:
            SwaytrainerError: it is another board's.
        """
        self.left.for_board(board_id)
        return self

    def plate(self, which: Plate) -> Calibration:
        """One plate's own."""
        return self.left if which is Plate.LEFT else self.right

    def with_plate(self, which: Plate, calibration: Calibration) -> PairCalibration:
        """One plate calibrated anew."""
        if which is Plate.LEFT:
            return replace(self, left=calibration)
        return replace(self, right=calibration)


BoardCalibration = Calibration | PairCalibration
