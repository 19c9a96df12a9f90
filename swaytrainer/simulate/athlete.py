"""Invented vaulters of several sizes, and where their feet stand on the board.

Frame: the board's, origin at the plate's centre, x to the right, y forward, millimetres. The
backs of both heels stand on one line, the heel line, at ``y = heel_line_mm``.

Everybody here is made up, and so is their club.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE

HEEL_LINE_MM = -120.0
"""Where the backs of the heels stand unless a caller says otherwise, y in mm."""

FOOT_BREADTH_SHARE = 0.38
"""Breadth of a foot in foot lengths; from memory, only used to keep the COP on the feet."""


@dataclass(frozen=True, slots=True)
class Athlete:
    """A simulated vaulter, as far as standing on a board needs one.

    Attributes:
        name: an invented name.
        mass_kg: body mass.
        height_m: standing height; sets how slowly the body topples.
        foot_length_mm: heel to longest toe.
        stance_width_mm: from the middle of one foot to the middle of the other.

    Raises:
        ValueError: if a length or the mass is not a positive number.
    """

    name: str
    mass_kg: float
    height_m: float
    foot_length_mm: float
    stance_width_mm: float

    def __post_init__(self) -> None:
        for field in ("mass_kg", "height_m", "foot_length_mm", "stance_width_mm"):
            value = getattr(self, field)
            if not (math.isfinite(value) and value > 0.0):
                raise ValueError(f"{field} of {self.name!r} must be above zero, not {value}")

    def y_at_toe_share_mm(self, toe_share_percent: float, heel_line_mm: float) -> float:
        """Where the COP lies, y in mm, when ``toe_share_percent`` of the load is on the balls.

        The lever rule over the foot: y = y_heel + share/100·(y_ball − y_heel).

        >>> mid = Athlete("Test", 60.0, 1.70, 240.0, 200.0)
        >>> round(mid.y_at_toe_share_mm(0.0, -120.0), 6), round(mid.y_at_toe_share_mm(100, -120), 6)
        (-87.6, 56.4)
        """
        share = HEEL_SHARE + toe_share_percent / 100.0 * (BALL_SHARE - HEEL_SHARE)
        return heel_line_mm + share * self.foot_length_mm

    def toe_share_percent(self, y_mm: float, heel_line_mm: float) -> float:
        """The inverse of ``y_at_toe_share_mm``: toe share in percent for a COP at ``y_mm``."""
        heel_mm = heel_line_mm + HEEL_SHARE * self.foot_length_mm
        lever_mm = (BALL_SHARE - HEEL_SHARE) * self.foot_length_mm
        return 100.0 * (y_mm - heel_mm) / lever_mm

    def outer_edge_mm(self) -> float:
        """How far the outer edge of a foot is from the middle of the stance, mm."""
        return 0.5 * (self.stance_width_mm + FOOT_BREADTH_SHARE * self.foot_length_mm)


CHILD = Athlete("Mika Ostertag, 9", 28.0, 1.33, 205.0, 150.0)
JUNIOR = Athlete("Romy Finkenzell, 13", 45.0, 1.57, 232.0, 180.0)
ADULT = Athlete("Jale Bruckwald, 21", 62.0, 1.70, 245.0, 200.0)
HEAVY_ADULT = Athlete("Tjark Sommerhof, 34", 85.0, 1.84, 278.0, 230.0)

ATHLETES = (CHILD, JUNIOR, ADULT, HEAVY_ADULT)
