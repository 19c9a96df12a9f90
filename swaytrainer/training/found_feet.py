"""What the guided half-minute found of a vaulter's feet, to be kept and used again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.feet import Feet


@dataclass(frozen=True, slots=True)
class FoundFeet:
    """Heels, balls and sides of one vaulter in one stance, found by doing.

    They hold for feet on the board's foot marks: lengths are counted from its heel line and its
    middle, so that another board's marks serve as well.

    Attributes:
        vaulter, stance: whose, and how they stood ("two feet").
        made: when, with a time zone.
        heel_mm, ball_mm: in front of the heel line.
        left_mm, right_mm: x of the middle of the left foot (below zero) and of the right one.
        u_line_mm: standard uncertainty of heel and ball, from how well two tries agree.
        u_side_mm: standard uncertainty of left and right.
    """

    vaulter: str
    stance: str
    made: datetime
    heel_mm: float
    ball_mm: float
    left_mm: float
    right_mm: float
    u_line_mm: float
    u_side_mm: float

    def feet(self, heel_line_mm: float) -> Feet:
        """Where they are on a board.

        Args:
            heel_line_mm: y of the board's heel line.
        """
        return Feet(
            heel_line_mm + self.heel_mm,
            heel_line_mm + self.ball_mm,
            self.left_mm,
            self.right_mm,
            self.u_line_mm,
            self.u_side_mm,
        )

    def check(self) -> FoundFeet:
        """Itself, if feet can be so.

        Raises:
            SwaytrainerError: they can't.
        """
        length = self.ball_mm - self.heel_mm
        across = self.right_mm - self.left_mm
        if not (
            50.0 <= length <= 260.0
            and -60.0 <= self.heel_mm <= 120.0
            and 40.0 <= across <= 600.0
            and 0.0 < self.u_line_mm <= 30.0
            and 0.0 < self.u_side_mm <= 60.0
        ):
            raise SwaytrainerError(
                f"The feet kept for {self.vaulter} can't be: heel {self.heel_mm:g}, ball"
                f" {self.ball_mm:g}, left {self.left_mm:g}, right {self.right_mm:g} mm.",
                f"Find them again with 'swaytrainer feet {self.vaulter}'.",
            )
        return self
