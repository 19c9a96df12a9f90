"""Where the feet stand, and what the joint COP says about toes and heels, left and right.

A lever rule over the feet, not over the board: if the load were borne at the heels (y_h) and at
the balls (y_b) only, the balls would bear (y - y_h) / (y_b - y_h) of it. So the answer does not
change with where on the board the feet stand. The balance of moments is mechanics, the use ours.

Limits: one plate sees the joint COP of both feet, so a vaulter heavy on the left toes and the right
heel looks even. Shares are in % of the load, exact for loads at the four lines only: a midfoot that
bears counts by where it lies. They are as good as the places given: 5 mm off on feet of 200 mm
(heel to ball 120 mm) is 4 %. Live and offline alike: a share is each sample's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TypeVar

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array

#: Where heel and ball bear, as a share of foot length from the back of the heel. Both from
#: memory (heel contact 0.12-0.15, metatarsal heads 0.72-0.75), not from a checked source: a
#: fallback for a vaulter whose heels and balls were not found by doing.
HEEL_SHARE = 0.135
BALL_SHARE = 0.735

#: Half the spread of the shares above (0.12-0.15, 0.72-0.75), in foot lengths.
LINE_WITHIN_SHARE = 0.015
#: How well heels are put on the heel line, and how far beside its middle a foot bears, mm: both our
#: own guesses.
PLACED_WITHIN_MM = 4.0
SIDE_WITHIN_MM = 10.0
_ROOT3 = math.sqrt(3.0)
#: 95 % of a normal distribution (GUM JCGM 100:2008, table G.1).
_COVERAGE_95 = 1.96

_Number = TypeVar("_Number", float, Array)


@dataclass(frozen=True, slots=True)
class Feet:
    """The four lines on which the feet bear, in the board's frame (mm).

    Attributes:
        heel_y_mm, ball_y_mm: y of the joint COP with all load on the heels, and on the balls.
        left_x_mm, right_x_mm: x of the middle of the left foot and of the right.
        u_line_mm: standard uncertainty of heel_y and of ball_y; None if unknown.
        u_side_mm: standard uncertainty of left_x and of right_x; None if unknown.

    Raises:
        SwaytrainerError: the balls are not in front of the heels, or right is not right of left.
    """

    heel_y_mm: float
    ball_y_mm: float
    left_x_mm: float
    right_x_mm: float
    u_line_mm: float | None = field(default=None, repr=False)
    u_side_mm: float | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        lines = (self.heel_y_mm, self.ball_y_mm, self.left_x_mm, self.right_x_mm)
        if not all(math.isfinite(line) for line in lines):
            raise SwaytrainerError(
                f"The feet's places must be numbers in mm, not {lines}.",
                "Measure the feet again.",
            )
        if not self.ball_y_mm > self.heel_y_mm:
            raise SwaytrainerError(
                f"The balls of the feet ({self.ball_y_mm:g} mm) must lie in front of"
                f" the heels ({self.heel_y_mm:g} mm).",
                "Face the front of the board and find heels and balls again.",
            )
        if not self.right_x_mm > self.left_x_mm:
            raise SwaytrainerError(
                f"The right foot ({self.right_x_mm:g} mm) must stand to the right of"
                f" the left ({self.left_x_mm:g} mm).",
                "Face the front of the board and give a stance width above zero.",
            )

    @classmethod
    def from_length(
        cls,
        foot_length_mm: float,
        stance_width_mm: float,
        heel_line_y_mm: float,
        middle_x_mm: float = 0.0,
    ) -> Feet:
        """The fallback, from a ruler: ``HEEL_SHARE`` and ``BALL_SHARE`` of the foot's length.

        Its uncertainty is that of rectangular distributions (GUM JCGM 100:2008, 4.3.7) of
        ± ``LINE_WITHIN_SHARE`` foot lengths and ± ``PLACED_WITHIN_MM`` on the heel line, and of
        ± ``SIDE_WITHIN_MM`` across.

        Args:
            foot_length_mm: from the back of the heel to the tip of the longest toe.
            stance_width_mm: from the middle of the left foot to the middle of the right.
            heel_line_y_mm: y of the backs of the heels.
            middle_x_mm: x midway between the feet.

        Raises:
            SwaytrainerError: length or width is not above zero.

        >>> Feet.from_length(200.0, 160.0, heel_line_y_mm=-100.0)
        Feet(heel_y_mm=-73.0, ball_y_mm=47.0, left_x_mm=-80.0, right_x_mm=80.0)
        """
        return cls(
            heel_y_mm=heel_line_y_mm + HEEL_SHARE * foot_length_mm,
            ball_y_mm=heel_line_y_mm + BALL_SHARE * foot_length_mm,
            left_x_mm=middle_x_mm - 0.5 * stance_width_mm,
            right_x_mm=middle_x_mm + 0.5 * stance_width_mm,
            u_line_mm=math.hypot(LINE_WITHIN_SHARE * foot_length_mm, PLACED_WITHIN_MM) / _ROOT3,
            u_side_mm=SIDE_WITHIN_MM / _ROOT3,
        )

    def toe_share_percent(self, y_mm: _Number) -> _Number:
        """100 with all load on the balls, 0 on the heels; the COP can lie a little beyond either.

        Args:
            y_mm: a number or an array of any shape; NaN stays NaN.

        >>> Feet(-70.0, 50.0, -80.0, 80.0).toe_share_percent(-10.0)
        50.0
        """
        return (y_mm - self.heel_y_mm) * (100.0 / (self.ball_y_mm - self.heel_y_mm))

    def right_share_percent(self, x_mm: _Number) -> _Number:
        """100 with all load on the right foot, 0 on the left.

        Args:
            x_mm: a number or an array of any shape; NaN stays NaN.

        >>> Feet(-70.0, 50.0, -80.0, 80.0).right_share_percent(8.0)
        55.0
        """
        return (x_mm - self.left_x_mm) * (100.0 / (self.right_x_mm - self.left_x_mm))

    def toe_share_within_percent(self, y_mm: float) -> float:
        """± of the toe share of a mean COP, with a probability of 95 %; NaN if it is unknown.

        With s the share, s = (y - y_h) / (y_b - y_h) gives u(s) = u·√((1 - s)² + s²) / (y_b - y_h)
        for independent heel and ball lines of standard uncertainty u (GUM JCGM 100:2008, 5.1.2).
        An error that board, heels and balls have in common, such as a wrong zero of the cells'
        places, leaves the share as it is.

        >>> round(Feet(-70.0, 50.0, -80.0, 80.0, 2.0).toe_share_within_percent(-10.0), 2)
        2.31
        """
        return _within(
            self.toe_share_percent(y_mm), self.u_line_mm, self.ball_y_mm - self.heel_y_mm
        )

    def right_share_within_percent(self, x_mm: float) -> float:
        """± of the right share of a mean COP, likewise."""
        share = self.right_share_percent(x_mm)
        return _within(share, self.u_side_mm, self.right_x_mm - self.left_x_mm)


def _within(share_percent: float, u_mm: float | None, lever_mm: float) -> float:
    if u_mm is None:
        return math.nan
    s = share_percent / 100.0
    return 100.0 * _COVERAGE_95 * u_mm * math.hypot(1.0 - s, s) / lever_mm
