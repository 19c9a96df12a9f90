"""When somebody on the plate stands still, and with which force: the ends of a movement."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from swaytrainer.sway.butterworth import zero_phase
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags

#: Still: over this long the mean force is the weight, the force hardly varies and has no trend
#: (means of the two halves). The limits are ours: in 12 firm-ground trials of two adults (Santos &
#: Duarte, PeerJ 2016;4:e2648) the means lay within 0.12 % of the weight, the ranges within 0.56 %
#: and the halves within 0.23 %; on foam the ranges were 1 % or more, so there nobody is still.
STILL_S: Final = 0.5
STILL_LEVEL: Final = 0.003
STILL_RANGE: Final = 0.008
STILL_TREND: Final = 0.0025
#: Somebody who sinks slowly enough seems to stand still. Integrated over so many seconds, with the
#: speed closed at both ends, a standing body's force seemed to move it by up to 92 mm (the same
#: trials); one that sinks 300 mm in 12 s by 150 mm.
_SLOW_S: Final = 8.0
_SLOW_MM: Final = 120.0
_SMOOTH_HZ: Final = 6.0
#: A still's edges hold the beginning of the movement: so much is left out of its level.
_EDGE_S: Final = 0.25
_LEVEL_MOST_S: Final = 3.0


class Still(NamedTuple):
    """A stretch of standing still: samples ``begin`` to ``end`` - 1."""

    begin: int
    end: int


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
        half = window // 2
        halves = views[:, -half:].mean(axis=1) - views[:, :half].mean(axis=1)
        calm &= np.abs(halves) < STILL_TREND * means
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
            stills.append(Still(a, b))
    return body_n, stills


def sinks_slowly(time_s: Array, force_n: Array, still: Still, gravity_m_s2: float) -> bool:
    """Whether a long still may hide a movement too slow to be told from standing."""
    first = time_s[still.begin]
    while first + _SLOW_S <= time_s[still.end - 1]:
        part = slice(*np.searchsorted(time_s, [first, first + _SLOW_S]).tolist())
        force = force_n[part]
        pull = 1000.0 * gravity_m_s2 * (force / force.mean() - 1.0)
        if float(np.ptp(closed_path(time_s[part], pull)[1])) > _SLOW_MM:
            return True
        first += 0.25 * _SLOW_S
    return False


def level_at_end(time_s: Array, force_n: Array, still: Still) -> float:
    """Mean force (N) of a still's last three seconds, or of all of it."""
    first = np.searchsorted(time_s, time_s[still.end - 1] - _LEVEL_MOST_S)
    return float(force_n[max(still.begin, int(first)) : still.end].mean())


def level_at_begin(time_s: Array, force_n: Array, still: Still) -> float:
    """Mean force (N) of a still's first three seconds, or of all of it."""
    last = np.searchsorted(time_s, time_s[still.begin] + _LEVEL_MOST_S)
    return float(force_n[still.begin : max(still.begin + 1, min(still.end, int(last)))].mean())


def closed_path(time_s: Array, acceleration_mm_s2: Array) -> tuple[Array, Array, float]:
    """Speed (mm/s) and displacement (mm) with zero speed at both ends, and the speed missed.

    Trapezoids on the stamps as they are.

    >>> t = np.linspace(0.0, 2.0, 2001)
    >>> speed, way, missed = closed_path(t, 100.0 * np.cos(np.pi * t) + 7.0)
    >>> round(missed, 6), round(float(np.abs(speed - 100.0 / np.pi * np.sin(np.pi * t)).max()), 4)
    (14.0, 0.0)
    """
    speed = _integrated(time_s, acceleration_mm_s2)
    missed = float(speed[-1])
    speed = speed - missed * time_shares(time_s)
    return speed, _integrated(time_s, speed), missed


def time_shares(time_s: Array) -> Array:
    """From 0 at the first stamp to 1 at the last."""
    shares: Array = (time_s - time_s[0]) / (time_s[-1] - time_s[0])
    return shares


def _integrated(time_s: Array, values: Array) -> Array:
    out = np.zeros_like(values)
    np.cumsum(0.5 * (values[1:] + values[:-1]) * np.diff(time_s), out=out[1:])
    return out
