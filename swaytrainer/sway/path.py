"""Path length and mean speed of the COP.

Σ|p(i+1) - p(i)| over the intervals that count, and that over their time: Prieto, Myklebust,
Hoffmann, Lovett & Myklebust, IEEE Trans Biomed Eng 1996;43:956-966. Without a gap the time is
(N-1)/rate. Both grow with the rate, the filter's cut-off and the noise of the board: compare
only like with like. White noise of σ along both axes alone walks √π·σ·rate (``noise``). Neither
says where the sway went: a quick small sway and a slow large one may have the same.
"""

from __future__ import annotations

from math import isnan, sqrt
from typing import NamedTuple

import numpy as np

from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags, bridged


class PathValues(NamedTuple):
    """Path (mm) and mean speeds (mm/s; ML: along x only, AP: along y only). NaN if no interval."""

    path_length_mm: float
    mean_speed_mm_s: float
    mean_speed_ml_mm_s: float
    mean_speed_ap_mm_s: float


NO_PATH = PathValues(NAN, NAN, NAN, NAN)


def path(time_s: Array, x_mm: Array, y_mm: Array, breaks: Flags | None = None) -> PathValues:
    """Path and speeds of a whole trial.

    Args:
        time_s, x_mm, y_mm: shape (N,); NaN in x and y where there is no COP.
        breaks: shape (N,), see ``gaps.bridged``.

    >>> time = np.array([0.0, 0.5, 1.0])
    >>> path(time, np.array([0.0, 3.0, 3.0]), np.array([0.0, 4.0, 4.0]))
    PathValues(path_length_mm=5.0, mean_speed_mm_s=5.0,
               mean_speed_ml_mm_s=3.0, mean_speed_ap_mm_s=4.0)
    """
    whole = bridged(x_mm, breaks)
    if not whole.any():
        return NO_PATH
    dx = np.diff(x_mm)
    dy = np.diff(y_mm)
    steps_s = np.diff(time_s)
    if not whole.all():
        dx, dy, steps_s = dx[whole], dy[whole], steps_s[whole]
    seconds = float(steps_s.sum())
    length = float(np.sqrt(dx * dx + dy * dy).sum())
    return PathValues(
        length,
        length / seconds,
        float(np.abs(dx).sum()) / seconds,
        float(np.abs(dy).sum()) / seconds,
    )


class PathLength:
    """``path``, sample by sample. Times must increase.

    The three sums are compensated (Kahan, Communications of the ACM 1965;8:40), so that they
    stay exact to the last digits however long somebody stands.

    >>> walk = PathLength()
    >>> for time_s, x_mm in (0.0, 0.0), (0.5, 3.0), (1.0, 4.0):
    ...     walk.update(time_s, x_mm, 0.0)
    >>> walk.get().path_length_mm, walk.get().mean_speed_mm_s
    (4.0, 4.0)
    """

    __slots__ = (
        "_before_s",
        "_rest",
        "_rest_x",
        "_rest_y",
        "_start_s",
        "_sum",
        "_sum_x",
        "_sum_y",
        "_time_s",
        "_x",
        "_y",
    )

    def __init__(self) -> None:
        self._sum = self._sum_x = self._sum_y = 0.0
        self._rest = self._rest_x = self._rest_y = 0.0
        self._before_s = 0.0  # time of the runs before the last gap
        self._start_s = self._time_s = 0.0  # first and latest time of the present run
        self._x = self._y = NAN  # NaN: the next sample begins a run

    def gap(self) -> None:
        """The next interval is not bridged."""
        self._before_s += self._time_s - self._start_s
        self._start_s = self._time_s
        self._x = NAN

    def update(self, time_s: float, x_mm: float, y_mm: float) -> None:
        """Take one sample; NaN in ``x_mm`` (no COP) is a gap."""
        if isnan(x_mm):
            self.gap()
            return
        last_x = self._x
        if not isnan(last_x):
            dx = x_mm - last_x
            dy = y_mm - self._y
            part = sqrt(dx * dx + dy * dy) - self._rest
            total = self._sum
            self._sum = more = total + part
            self._rest = (more - total) - part
            part = (dx if dx >= 0.0 else -dx) - self._rest_x
            total = self._sum_x
            self._sum_x = more = total + part
            self._rest_x = (more - total) - part
            part = (dy if dy >= 0.0 else -dy) - self._rest_y
            total = self._sum_y
            self._sum_y = more = total + part
            self._rest_y = (more - total) - part
        else:
            self._start_s = time_s
        self._time_s = time_s
        self._x = x_mm
        self._y = y_mm

    def get(self) -> PathValues:
        """Path and speeds so far."""
        seconds = self._before_s + (self._time_s - self._start_s)
        if seconds <= 0.0:
            return NO_PATH
        return PathValues(
            self._sum, self._sum / seconds, self._sum_x / seconds, self._sum_y / seconds
        )
