"""Toe and right share through the depth of a squat, and the depth at which the heels give way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple, Protocol

import numpy as np

from swaytrainer.sway.cop import NAN, Array

_BINS: Final = 10
_GRID_MM: Final = 2.0
#: Heels have lost it if at least the deepest tenth is beyond the edge, and kept it at first if at
#: least the highest tenth is not.
_LEAST_SHARE: Final = 0.1


class _Dip(Protocol):
    @property
    def start(self) -> int: ...
    @property
    def bottom(self) -> int: ...
    @property
    def end(self) -> int: ...


class ShareBin(NamedTuple):
    """The shares at one depth, means over the squats that came there; NaN if none did.

    Attributes:
        low_mm, high_mm: the bin of depth.
        down_toe_percent, up_toe_percent: toe share on the way down, and up.
        right_percent: right share, both ways.
        right_se_percent: its standard error over squats; NaN below two.
        squats: how many came there.
    """

    low_mm: float
    high_mm: float
    down_toe_percent: float
    up_toe_percent: float
    right_percent: float
    right_se_percent: float
    squats: int


def share_profile(
    depth_mm: Array, toes_percent: Array, right_percent: Array, dips: Sequence[_Dip]
) -> tuple[ShareBin, ...]:
    """The shares in ten bins of depth, from standing to the deepest of these squats.

    Each squat has one vote in a bin, however long it stayed there.

    Args:
        depth_mm, toes_percent, right_percent: shape (N,), depth down positive.
        dips: the squats, by sample numbers.
    """
    if not dips:
        return ()
    deepest = max(float(depth_mm[dip.bottom]) for dip in dips)
    edges = np.linspace(0.0, deepest, _BINS + 1)
    down = np.full((len(dips), _BINS), NAN)
    up, right = down.copy(), down.copy()
    for k, dip in enumerate(dips):
        ways = (
            (slice(dip.start, dip.bottom + 1), ((down, toes_percent),)),
            (slice(dip.bottom, dip.end + 1), ((up, toes_percent),)),
            (slice(dip.start, dip.end + 1), ((right, right_percent),)),
        )
        for part, pairs in ways:
            where = np.clip(np.searchsorted(edges, depth_mm[part], side="right") - 1, 0, _BINS - 1)
            for out, shares in pairs:
                counts = np.bincount(where, minlength=_BINS)
                sums = np.bincount(where, weights=shares[part], minlength=_BINS)
                out[k] = np.divide(sums, counts, out=np.full(_BINS, NAN), where=counts > 0)
    bins = []
    for b in range(_BINS):
        sides = right[:, b][np.isfinite(right[:, b])]
        error = float(sides.std(ddof=1)) / sides.size**0.5 if sides.size > 1 else NAN
        bins.append(
            ShareBin(
                float(edges[b]),
                float(edges[b + 1]),
                _mean(down[:, b]),
                _mean(up[:, b]),
                _mean(sides),
                error,
                int(sides.size),
            )
        )
    return tuple(bins)


def heel_loss_depth_mm(depth_mm: Array, toes_percent: Array, edge_percent: float) -> float:
    """Where, on one way down, the toe share goes above the edge and stays there.

    The COP sways, so it may cross the edge several times. The depth given is the one that parts
    the way best, on a grid of 2 mm: fewest millimetres above it beyond the edge and below it not.
    (The first crossing would come too early, the last too late.)

    Args:
        depth_mm: shape (N,), a way down; where it goes up for a moment that is left out.
        toes_percent: shape (N,), finite.
        edge_percent: the band's upper edge.

    Returns:
        NaN if it never goes above for good, or is above from the start.

    >>> depth = np.linspace(0.0, 200.0, 401)
    >>> round(heel_loss_depth_mm(depth, 30.0 + 0.2 * depth, 50.0))
    101
    """
    deeper = np.concatenate([[True], np.diff(np.maximum.accumulate(depth_mm)) > 0.0])
    depth, toes = depth_mm[deeper], toes_percent[deeper]
    if depth.size < 2 or depth[-1] - max(depth[0], 0.0) < 5.0 * _GRID_MM:
        return NAN
    grid = np.arange(max(float(depth[0]), 0.0), float(depth[-1]), _GRID_MM)
    beyond = np.interp(grid, depth, toes) > edge_percent
    # Split before grid point j: wrong are those beyond above it, and those not beyond below it.
    above = np.concatenate([[0], np.cumsum(beyond)])
    wrong = above + np.concatenate([np.cumsum((~beyond)[::-1])[::-1], [0]])
    best = np.flatnonzero(wrong == wrong.min())
    split = int(best[best.size // 2])
    least = _LEAST_SHARE * grid.size
    if split < least or grid.size - split < least:
        return NAN
    return float(grid[split]) - 0.5 * _GRID_MM


def _mean(values: Array) -> float:
    there = values[np.isfinite(values)]
    return float(there.mean()) if there.size else NAN
