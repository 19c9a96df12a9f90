"""How somebody left the board: stepped off, or fell.

Both end with an empty board. Whoever means to step off takes the weight onto one foot first, and
then off it; a fall begins with the COP run out to the edge of the feet with both of them loaded,
or is over before there was time for anything else. No published trials of people falling off a
board are known to us: the limits are from the times of gait and from the feet's size, and a leap
sideways off one foot can look like either.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from swaytrainer.motion.carried import Bin
from swaytrainer.motion.incident import Kind, Limits
from swaytrainer.motion.resettled import Place
from swaytrainer.sway.feet import Feet

#: Both feet are loaded: the COP lies this close to the middle, as a share of half the stance, or
#: in mm where the stance is not known.
_MIDDLE_SHARE = 0.45
_MIDDLE_MM = 25.0
_LOADED_SHARE = 0.6
#: Beyond the middle of a foot by this share of heel to ball: 0.12 foot lengths, where half a foot's
#: breadth is some 0.19 (from memory). Standing on one foot does not go there.
_OUTER_SHARE = 0.20
#: A jump off the board pushes more than this; who falls has nothing to push from.
_JUMP_SHARE = 1.25


class Leaving(NamedTuple):
    """How the board was left, since when, and why we think so."""

    kind: Kind
    start_s: float
    why: str


def leaving(
    bins: Sequence[Bin],
    place: Place,
    empty_s: float,
    limits: Limits,
    feet: Feet | None,
    push_share: float = 0.0,
    unload_s: float = math.inf,
) -> Leaving:
    """From the last seconds before the board was empty.

    Args:
        bins: those seconds; what was quiet is told by the ``place``.
        place: where the COP was at rest before.
        empty_s: when the board was empty.
        limits: see there.
        feet: where the feet stand, if that is known.
        push_share: the largest force just before, in weights.
        unload_s: how long the force took from four fifths of the weight to none.
    """
    quiet_s = math.nan
    for b in bins:
        away = math.hypot(b.x_mm - place.x_mm, b.y_mm - place.y_mm)
        if away < place.radius_mm and abs(b.excess) < 0.12:
            quiet_s = b.time_s
    if math.isnan(quiet_s):
        if not bins:
            return Leaving(Kind.LEFT, empty_s, "Left the board; what came before was not seen.")
        quiet_s = bins[0].time_s
    out = [b for b in bins if b.time_s > quiet_s]
    edge = _edge(out, place, limits, feet)
    side = _outer_edge(out, feet)
    seconds = empty_s - quiet_s
    if edge is not None:
        return Leaving(
            Kind.FALL,
            quiet_s,
            f"The weight ran out to the {edge} with both feet loaded, then the board was empty.",
        )
    if side is not None:
        return Leaving(
            Kind.FALL,
            quiet_s,
            f"The weight ran out over the {side} foot's outer edge, then the board was empty.",
        )
    if push_share >= _JUMP_SHARE and all(
        math.hypot(b.x_mm - place.x_mm, b.y_mm - place.y_mm) < 3.0 * place.radius_mm for b in out
    ):
        return Leaving(
            Kind.STEP_OFF, quiet_s, f"Jumped off, pushing with {push_share:.1f} weights."
        )
    if seconds < limits.hurry_s:
        return Leaving(
            Kind.FALL, quiet_s, f"From standing to the empty board in {seconds:.2f} s: no step."
        )
    if seconds < limits.hurried_step_s and unload_s < limits.drop_s:
        return Leaving(
            Kind.FALL,
            quiet_s,
            f"The last foot was gone within {unload_s:.2f} s: nothing took over.",
        )
    return Leaving(
        Kind.STEP_OFF, quiet_s, f"Stepped off in {seconds:.1f} s, the weight on one foot first."
    )


def _edge(bins: Sequence[Bin], place: Place, limits: Limits, feet: Feet | None) -> str | None:
    """Which edge of the feet the COP ran out to, with both of them loaded."""
    middle_mm, ahead_mm, behind_mm = _MIDDLE_MM, place.y_mm + limits.edge_mm, math.nan
    behind_mm = place.y_mm - limits.edge_mm
    if feet is not None:
        middle_mm = max(_MIDDLE_SHARE * 0.5 * (feet.right_x_mm - feet.left_x_mm), 12.0)
        ahead_mm = max(feet.ball_y_mm, place.y_mm + 0.5 * limits.edge_mm)
        behind_mm = min(feet.heel_y_mm, place.y_mm - 0.5 * limits.edge_mm)
    for b in bins:
        if b.excess + 1.0 < _LOADED_SHARE or abs(b.x_mm - place.x_mm) > middle_mm:
            continue
        if b.y_mm > ahead_mm:
            return "toes"
        if b.y_mm < behind_mm:
            return "heels"
    return None


def _outer_edge(bins: Sequence[Bin], feet: Feet | None) -> str | None:
    """Which foot's outer edge the COP ran out over."""
    if feet is None:
        return None
    beyond_mm = _OUTER_SHARE * (feet.ball_y_mm - feet.heel_y_mm)
    for b in bins:
        if b.excess + 1.0 < _LOADED_SHARE:
            continue
        if b.x_mm > feet.right_x_mm + beyond_mm:
            return "right"
        if b.x_mm < feet.left_x_mm - beyond_mm:
            return "left"
    return None
