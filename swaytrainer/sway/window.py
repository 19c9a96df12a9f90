"""The COP's mean speed over the last moment: what a screen or a sound follows.

Limits: it lags behind by half its window, and grows with rate, cut-off and noise like any speed.
Over the whole trial its batch twin is ``path``.
"""

from __future__ import annotations

from collections import deque
from math import fsum, isnan, sqrt

from swaytrainer.sway.cop import NAN


class WindowSpeed:
    """Mean COP speed over the last ``window_s`` seconds, at O(1) a sample.

    Only bridged intervals that begin inside the window count, and the path is divided by their
    own time; a gap takes nothing away but what is measured.

    Adding the newest and subtracting the oldest step, for hours, would let rounding errors pile
    up for ever. So the sums are made afresh from the kept intervals once as many have left as are
    kept, which is once a window: an error lives for one window at most, and the cost stays O(1)
    a sample on average.

    >>> speed = WindowSpeed(1.0)
    >>> for i in range(300):
    ...     speed.update(i / 100.0, 0.1 * i, 0.0)
    >>> round(speed.get(), 9)
    10.0
    """

    __slots__ = ("_gone", "_intervals", "_sum_mm", "_sum_s", "_time_s", "_x", "_y", "window_s")

    def __init__(self, window_s: float) -> None:
        self.window_s = window_s
        self._intervals: deque[tuple[float, float, float]] = deque()  # begin, seconds, mm
        self._sum_mm = self._sum_s = 0.0
        self._gone = 0
        self._time_s = 0.0
        self._x = self._y = NAN  # NaN: the next sample begins a run

    @property
    def covered_s(self) -> float:
        """How many seconds of the window are measured: little just after a gap."""
        return self._sum_s

    def gap(self) -> None:
        """The next interval is not bridged."""
        self._x = NAN

    def update(self, time_s: float, x_mm: float, y_mm: float) -> None:
        """Take one sample, times increasing; NaN (no COP) is a gap, but lets time pass."""
        last_x = self._x
        intervals = self._intervals
        if not (isnan(x_mm) or isnan(last_x)):
            dx = x_mm - last_x
            dy = y_mm - self._y
            step = sqrt(dx * dx + dy * dy)
            seconds = time_s - self._time_s
            intervals.append((self._time_s, seconds, step))
            self._sum_mm += step
            self._sum_s += seconds
        self._time_s = time_s
        self._x = x_mm
        self._y = y_mm
        oldest = time_s - self.window_s - 1e-9  # a nanosecond: stamps are not exact in binary
        while intervals and intervals[0][0] < oldest:
            _, seconds, step = intervals.popleft()
            self._sum_mm -= step
            self._sum_s -= seconds
            self._gone += 1
            if self._gone >= len(intervals):
                self._gone = 0
                self._sum_s = fsum(interval[1] for interval in intervals)
                self._sum_mm = fsum(interval[2] for interval in intervals)

    def get(self) -> float:
        """Speed in mm/s; NaN if nothing in the window is measured."""
        return self._sum_mm / self._sum_s if self._intervals and self._sum_s > 0.0 else NAN
