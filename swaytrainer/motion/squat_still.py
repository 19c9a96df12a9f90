"""When somebody on the plate stands still, and with which force: the ends of a movement."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from swaytrainer.sway.butterworth import zero_phase
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags

#: Still: over this long the mean force is the weight, and the force hardly varies. The limits are
#: ours: in 12 firm-ground trials of two adults (Santos & Duarte, PeerJ 2016;4:e2648) means over
#: half a second lay within 0.12 % of the weight and ranges within 0.56 %; on foam the ranges were
#: 1 % or more, so on foam nobody is still.
STILL_S: Final = 0.5
STILL_LEVEL: Final = 0.003
STILL_RANGE: Final = 0.008
_SMOOTH_HZ: Final = 6.0
#: A still's edges hold the beginning of the movement: so much is left out of its level.
_EDGE_S: Final = 0.25
_LEVEL_MOST_S: Final = 3.0


class Still(NamedTuple):
    """A stretch of standing still: samples ``begin`` to ``end`` - 1, at this force (N)."""

    begin: int
    end: int
    level_n: float


def find_stills(
    force_n: Array, rate_hz: float, whole: Sequence[slice]
) -> tuple[float, list[Still]]:
    """The weight (N, NaN if nobody is still), and where the force stays at it.

    Args:
        force_n: shape (N,).
        rate_hz: samples a second.
        whole: the unbroken pieces to look at, each longer than ``butterworth.PAD_SAMPLES`` and
            finite.
    """
    window = max(2, round(STILL_S * rate_hz))
    looked: list[tuple[slice, Array, Flags]] = []
    for piece in whole:
        smooth = force_n[piece]
        if smooth.size < window:
            continue
        if rate_hz > 2.5 * _SMOOTH_HZ:
            smooth = zero_phase(smooth, _SMOOTH_HZ, rate_hz)
        views = sliding_window_view(smooth, window)
        means: Array = views.mean(axis=1)
        calm: Flags = np.ptp(views, axis=1) < STILL_RANGE * means
        looked.append((piece, means, calm))
    levels = np.sort(np.concatenate([means[calm] for _, means, calm in looked] or [np.empty(0)]))
    if not levels.size:
        return NAN, []
    # The level at which the force dwells most often: movement is as often above as below.
    last = np.searchsorted(levels, levels * (1.0 + 2.0 * STILL_LEVEL), side="right")
    most = int(np.argmax(last - np.arange(levels.size)))
    body_n = float(np.median(levels[most : last[most]]))
    stills = []
    for piece, means, calm in looked:
        at_level = calm & (np.abs(means - body_n) < STILL_LEVEL * body_n)
        still = np.zeros(piece.stop - piece.start, dtype=np.bool_)
        for start in np.flatnonzero(at_level).tolist():
            still[start : start + window] = True
        edges = np.flatnonzero(np.diff(np.concatenate([[False], still, [False]])))
        for begin, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            edge = min(round(_EDGE_S * rate_hz), (end - begin) // 3)
            a, b = piece.start + begin + edge, piece.start + end - edge
            stills.append(Still(a, b, float(force_n[a:b].mean())))
    return body_n, stills


def level_at_end(time_s: Array, force_n: Array, still: Still) -> float:
    """Mean force (N) of a still's last three seconds, or of all of it."""
    first = np.searchsorted(time_s, time_s[still.end - 1] - _LEVEL_MOST_S)
    return float(force_n[max(still.begin, int(first)) : still.end].mean())


def level_at_begin(time_s: Array, force_n: Array, still: Still) -> float:
    """Mean force (N) of a still's first three seconds, or of all of it."""
    last = np.searchsorted(time_s, time_s[still.begin] + _LEVEL_MOST_S)
    return float(force_n[still.begin : max(still.begin + 1, min(still.end, int(last)))].mean())
