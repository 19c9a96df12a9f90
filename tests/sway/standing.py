"""Hours of standing and their exact measures, for the test of an hour and the day's benchmark."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy import signal
from scipy.spatial import ConvexHull

from swaytrainer.sway.cop import Array
from swaytrainer.sway.ellipse import CHI2_95_2
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.gaps import Flags

RATE_HZ = 80
FEET = Feet(-70.0, 50.0, -80.0, 240.0)
BAND = (35.0, 50.0)


class Standing(NamedTuple):
    """An hour: shape (N,) each; ``gap[i]``: samples are lost before sample i."""

    time_s: Array
    x_mm: Array
    y_mm: Array
    gap: Flags


def hour(number: int) -> Standing:
    """The hour of this number of a day, of its own seed."""
    n = 3600 * RATE_HZ
    push = np.random.default_rng(number).normal(scale=0.35, size=(2, n))
    x, y = signal.lfilter([1.0], [1.0, -0.995], push, axis=1)
    gap = np.zeros(n, dtype=np.bool_)
    gap[:: n // 3] = True
    time_s = (number * n + np.arange(n)) / RATE_HZ
    time_s += 0.5 * (3 * number + np.cumsum(gap))  # half a second is lost at each gap
    return Standing(time_s, 100.0 + 0.1 * number + x, -20.0 + 0.2 * number + y, gap)


def exact(hours: Sequence[Standing]) -> dict[str, float]:
    """The live measures by ``math.fsum``: a sum is rounded once for each 20 minutes, and once."""
    steps: list[float] = []
    steps_x: list[float] = []
    steps_y: list[float] = []
    times: list[float] = []
    spells: list[float] = []
    spell: list[float] = []
    for now in hours:
        for begin, end in _runs(now.gap):
            t, x, y = (column[begin:end] for column in (now.time_s, now.x_mm, now.y_mm))
            dx, dy, seconds = np.diff(x), np.diff(y), np.diff(t)
            steps.append(math.fsum(np.sqrt(dx * dx + dy * dy).tolist()))
            steps_x.append(math.fsum(np.abs(dx).tolist()))
            steps_y.append(math.fsum(np.abs(dy).tolist()))
            times.append(math.fsum(seconds.tolist()))
            share = FEET.toe_share_percent(y)
            for left, right, length in zip(
                share[:-1].tolist(), share[1:].tolist(), seconds.tolist(), strict=True
            ):
                part = length * _inside(left, right)
                spell.append(part)
                if not BAND[0] <= right <= BAND[1]:
                    spells.append(math.fsum(spell))
                    spell.clear()
            spells.append(math.fsum(spell))
            spell.clear()
    x = np.concatenate([now.x_mm for now in hours])
    y = np.concatenate([now.y_mm for now in hours])
    n = x.size
    mean_x, mean_y = math.fsum(x.tolist()) / n, math.fsum(y.tolist()) / n
    dx, dy = x - mean_x, y - mean_y
    xx, yy, xy = (math.fsum(v.tolist()) for v in (dx * dx, dy * dy, dx * dy))
    length, seconds_all = math.fsum(steps), math.fsum(times)
    hull = ConvexHull(np.stack([x, y], axis=1))
    return {
        "path_length_mm": length,
        "mean_speed_mm_s": length / seconds_all,
        "mean_speed_ml_mm_s": math.fsum(steps_x) / seconds_all,
        "mean_speed_ap_mm_s": math.fsum(steps_y) / seconds_all,
        "rms_ml_mm": math.sqrt(xx / n),
        "rms_ap_mm": math.sqrt(yy / n),
        "range_ml_mm": float(x.max() - x.min()),
        "range_ap_mm": float(y.max() - y.min()),
        "ellipse_area_mm2": math.pi * CHI2_95_2 * math.sqrt(xx * yy - xy * xy) / (n - 1),
        "hull_area_mm2": float(hull.volume),
        "toe_share_percent": FEET.toe_share_percent(mean_y),
        "right_share_percent": FEET.right_share_percent(mean_x),
        "time_in_band_percent": 100.0 * math.fsum(spells) / seconds_all,
        "longest_spell_s": max(spells),
    }


def _runs(gap: Flags) -> list[tuple[int, int]]:
    begins = np.flatnonzero(gap).tolist()
    if not begins or begins[0]:
        begins.insert(0, 0)
    return list(zip(begins, [*begins[1:], gap.size], strict=True))


def _inside(left: float, right: float) -> float:
    """The part of a straight line from left to right that lies inside the band."""
    low, high = BAND
    if left == right:
        return float(low <= left <= high)
    at = sorted(((low - left) / (right - left), (high - left) / (right - left)))
    return max(min(at[1], 1.0) - max(at[0], 0.0), 0.0)
