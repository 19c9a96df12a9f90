"""A sole's outline on the board, for every picture of it. A sketch: no foot is shaped just so."""

from __future__ import annotations

from collections.abc import Sequence

from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet

#: A right sole's outline in foot lengths: (out from the foot's middle, forward from the back of
#: the heel), first up the outer edge, then down the inner one.
_SOLE = (
    (0.0, 0.0),
    (0.07, 0.01),
    (0.115, 0.06),
    (0.125, 0.14),
    (0.12, 0.28),
    (0.13, 0.45),
    (0.165, 0.62),
    (0.17, 0.74),
    (0.14, 0.84),
    (0.08, 0.92),
    (0.0, 0.975),
    (-0.07, 1.0),
    (-0.13, 0.97),
    (-0.16, 0.88),
    (-0.165, 0.76),
    (-0.15, 0.66),
    (-0.095, 0.48),
    (-0.085, 0.3),
    (-0.11, 0.14),
    (-0.1, 0.05),
    (-0.06, 0.005),
)


def _rounded(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """The closed outline with its corners cut twice (Chaikin's scheme)."""
    outline = list(points)
    for _ in range(2):
        cut: list[tuple[float, float]] = []
        for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True):
            cut.append((0.75 * x0 + 0.25 * x1, 0.75 * y0 + 0.25 * y1))
            cut.append((0.25 * x0 + 0.75 * x1, 0.25 * y0 + 0.75 * y1))
        outline = cut
    return outline


def sole_length_mm(feet: Feet) -> float:
    """The length of a foot whose heel and ball bear on these lines."""
    return (feet.ball_y_mm - feet.heel_y_mm) / (BALL_SHARE - HEEL_SHARE)


def toe_share_y_mm(feet: Feet, toe_share_percent: float) -> float:
    """The y at which the toe share has this value.

    >>> toe_share_y_mm(Feet(-70.0, 50.0, -80.0, 80.0), 50.0)
    -10.0
    """
    return feet.heel_y_mm + toe_share_percent / 100 * (feet.ball_y_mm - feet.heel_y_mm)


def outline_mm(feet: Feet, side: int) -> list[tuple[float, float]]:
    """The left (-1) or right (1) sole as a polygon in mm."""
    length = sole_length_mm(feet)
    back = feet.heel_y_mm - HEEL_SHARE * length
    middle = feet.right_x_mm if side > 0 else feet.left_x_mm
    return [(middle + side * out * length, back + up * length) for out, up in _rounded(_SOLE)]
