"""One squat out of a body's height: where it begins and ends, its depth, tempo and soles."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.motion.squat_height import GRAVITY_M_S2, SPELL_LIMIT_S, Heights
from swaytrainer.motion.squat_shares import heel_loss_depth_mm
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags

#: A shallower dip is swaying; ours.
PARTIAL_MM: Final = 25.0
#: Standard uncertainties that enter ``depth_uncertainty_mm``; our own figures. A still body's
#: centre of mass rises and falls at some mm/s (a breath of 0.03 % of the weight at 0.25 Hz: 2).
_SPEED_U_MM_S: Final = 4.0
_RETURN_U_MM: Final = 8.0
_SCALE_U: Final = 0.005
#: Up again: less than this share of the depth is left.
UP_SHARE: Final = 0.25
#: Moving: faster than this, and than this share of the fastest speed of that way.
_MOVING_MM_S: Final = 15.0
_MOVING_SHARE: Final = 0.05
#: The bottom of a squat: its deepest fifth.
BOTTOM_SHARE: Final = 0.8


def depth_uncertainty_mm(
    depth_mm: float,
    moving_s: float,
    weight_n: float,
    rate_hz: float,
    force_noise_n: float = 0.05,
    *,
    gravity_m_s2: float = GRAVITY_M_S2,
) -> float:
    """Expanded uncertainty (95 %, k = 1.96) of a depth, mm: the closed forms of ``squat_height``
    in quadrature.

    With our figures for a body (4 mm/s at either end, back within 8 mm, 0.5 % of scale); GUM, JCGM
    100:2008. ``python -m tests.motion.squat_depth`` counts how often it covers.

    Args:
        depth_mm: the depth.
        moving_s: how long the movement took, without the still stands in it.
        weight_n: the body's weight.
        rate_hz: samples a second.
        force_noise_n: rms noise of one sample of F.

    >>> round(depth_uncertainty_mm(250.0, 3.0, 400.0, 80.0), 1)
    9.2
    >>> round(depth_uncertainty_mm(250.0, SPELL_LIMIT_S, 400.0, 80.0), 1)
    18.6
    """
    speed = math.sqrt(2.0) * _SPEED_U_MM_S * moving_s / 8.0
    noise = 1000.0 * gravity_m_s2 * force_noise_n / weight_n
    noise *= math.sqrt(moving_s**3 / (192.0 * rate_hz))
    return 1.96 * math.hypot(speed, 0.5 * _RETURN_U_MM, noise, _SCALE_U * depth_mm)


class Repetition(NamedTuple):
    """One squat.

    Attributes:
        start_s, bottom_s, end_s: when it begins to sink, is deepest, is up again.
        depth_mm: of the centre of mass below standing; NaN if refused.
        depth_u95_mm: its expanded uncertainty; NaN if refused.
        down_s, hold_s, up_s: its tempo.
        heel_loss_depth_mm: NaN if the toe share never leaves its band upward, or can't be said.
        right_share_bottom_percent: mean in the deepest fifth.
    """

    start_s: float
    bottom_s: float
    end_s: float
    depth_mm: float
    depth_u95_mm: float
    down_s: float
    hold_s: float
    up_s: float
    heel_loss_depth_mm: float
    right_share_bottom_percent: float


class Dip(NamedTuple):
    """An excursion downward by sample numbers: last high before, deepest, up again."""

    start: int
    bottom: int
    end: int
    depth_mm: float


def find_dips(depth_mm: Array) -> list[Dip]:
    """Excursions of at least ``PARTIAL_MM`` down and back up, each unbroken by a NaN.

    One begins at the highest place since the last one was over, and is over when less than
    ``UP_SHARE`` of the way down is left. Going half up and down again is one excursion.

    Args:
        depth_mm: shape (N,), down positive, NaN where unknown.

    >>> [dip[:3] for dip in find_dips(np.array([0.0, 90.0, 60.0, 95.0, 5.0, 0.0, 30.0, 0.0]))]
    [(0, 3, 4), (5, 6, 7)]
    """
    dips = []
    start = bottom = 0
    high = low = NAN  # the least depth since the last dip; the largest of this dip
    for i, depth in enumerate(depth_mm.tolist()):
        if math.isnan(depth):
            high = low = NAN
        elif math.isnan(high) or (math.isnan(low) and depth <= high):
            high, start = depth, i
        elif math.isnan(low):
            if depth - high >= PARTIAL_MM:
                low, bottom = depth, i
        elif depth > low:
            low, bottom = depth, i
        elif depth - high < UP_SHARE * (low - high):
            dips.append(Dip(start, bottom, i, low))
            high, start, low = depth, i, NAN
    return dips


def _moving(speed_mm_s: Array) -> Flags:
    """Where one way, its speed counted positive, is under way."""
    limit = max(_MOVING_MM_S, _MOVING_SHARE * float(speed_mm_s.max()))
    moving: Flags = speed_mm_s > limit
    return moving


def span_of(found: Heights, dip: Dip) -> Dip:
    """The dip from its first movement down until, after the last up, it is slow or unknown."""
    sinking = np.flatnonzero(_moving(-found.speed_mm_s[dip.start : dip.bottom + 1]))
    rest = found.speed_mm_s[dip.bottom :]
    limit = _MOVING_SHARE * float(rest[: dip.end - dip.bottom + 1].max())
    after = rest[dip.end - dip.bottom :]
    slow = np.flatnonzero(~(after > max(_MOVING_MM_S, limit)))
    if slow.size and np.isnan(after[slow[0]]):
        slow = slow - 1
    return dip._replace(
        start=dip.start + int(sinking[0]) if sinking.size else dip.start,
        end=dip.end + int(slow[0]) if slow.size else found.speed_mm_s.size - 1,
    )


def repetition_of(
    time_s: Array,
    rate_hz: float,
    found: Heights,
    dip: Dip,
    edge_percent: float,
    toes: Array | None,
    right: Array | None,
    gravity_m_s2: float,
) -> Repetition:
    """Measure one squat.

    Args:
        time_s: shape (N,).
        rate_hz: samples a second.
        found: heights of the trial.
        dip: from ``span_of``.
        edge_percent: upper edge of the toe share's band.
        toes, right: shape (N,), shares in percent; None without the feet's places.
        gravity_m_s2: the place's own.
    """
    speed = found.speed_mm_s
    first, bottom, end = dip.start, dip.bottom, dip.end
    sinking = np.flatnonzero(_moving(-speed[first : bottom + 1]))
    arrived = first + int(sinking[-1]) if sinking.size else bottom
    rising = np.flatnonzero(_moving(speed[bottom : end + 1]))
    leaves = bottom + int(rising[0]) if rising.size else bottom
    spells = found.spell_s[first : end + 1]
    moved = float((np.diff(time_s[first : end + 1]) * (spells[1:] > 0.0)).sum())
    moved = max(moved, float(np.nanmax(spells)))
    depth = dip.depth_mm if float(np.nanmax(spells)) <= SPELL_LIMIT_S else NAN
    loss = right_bottom = NAN
    if toes is not None and right is not None:
        if not math.isnan(depth):
            loss = heel_loss_depth_mm(
                -found.height_mm[first : bottom + 1], toes[first : bottom + 1], edge_percent
            )
        inside = slice(first, end + 1)
        deepest = -found.height_mm[inside] >= BOTTOM_SHARE * dip.depth_mm
        right_bottom = float(right[inside][deepest].mean())
    return Repetition(
        start_s=float(time_s[first]),
        bottom_s=float(time_s[bottom]),
        end_s=float(time_s[end]),
        depth_mm=depth,
        depth_u95_mm=depth_uncertainty_mm(
            depth, moved, found.weight_n, rate_hz, gravity_m_s2=gravity_m_s2
        ),
        down_s=float(time_s[arrived] - time_s[first]),
        hold_s=float(time_s[leaves] - time_s[arrived]),
        up_s=float(time_s[end] - time_s[leaves]),
        heel_loss_depth_mm=loss,
        right_share_bottom_percent=right_bottom,
    )
