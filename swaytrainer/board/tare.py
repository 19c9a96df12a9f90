"""The empty board: its load is taken off, again and again while nobody stands on it."""

from __future__ import annotations

from typing import Final

from swaytrainer.board.calibration import Loads

#: The empty board may have drifted this far from its calibration; beyond it something lies on it.
EMPTY_LIMIT_N: Final = 40.0
#: A board that is being touched moves more than this within a second.
QUIET_LIMIT_N: Final = 3.0
_WINDOW_S: Final = 1.0
#: A zero that is this far from the known one is no drift: a pad was laid down, or a foot rests on
#: the board. Only what lies still for longer than a foot can is taken for a pad.
DRIFT_LIMIT_N: Final = 4.0
_LONG_WINDOW_S: Final = 8.0
_DEAD_QUIET_LIMIT_N: Final = 0.5
#: Between two calls lies more than this: they don't belong to one quiet second.
_APART_S: Final = 0.25


class Tare:
    """Averages the untared loads over each quiet second of an empty board.

    The first zero is taken from the first such second. Later ones follow the drift; a larger step
    (a foam pad laid on the plate) is followed only after eight seconds as quiet as a dead thing.

    ``update`` is to be called only while no trial runs: a tare in the middle of one would move
    the marks.

    Args:
        start: the tare to begin with, N a cell, as many as there are; the calibration's own zero
            if not given.
        known: whether ``start`` was measured on this day's board.
    """

    def __init__(self, start: Loads = (0.0, 0.0, 0.0, 0.0), known: bool = False) -> None:
        self.tare_n = start
        self.known = known
        self._last_s = 0.0
        self._restart(0.0)

    def _restart(self, time_s: float) -> None:
        self._began_s = time_s
        self._count = 0
        self._sums = [0.0] * len(self.tare_n)
        self._low = float("inf")
        self._high = -float("inf")

    def update(self, time_s: float, untared_n: Loads) -> bool:
        """Take one sample of untared loads; True when the tare was just renewed."""
        apart, self._last_s = time_s - self._last_s > _APART_S, time_s
        if apart:
            self._restart(time_s)
        total = sum(untared_n)
        if abs(total) > EMPTY_LIMIT_N or any(abs(v) > EMPTY_LIMIT_N for v in untared_n):
            self._restart(time_s)
            return False
        self._low = min(self._low, total)
        self._high = max(self._high, total)
        if self._high - self._low > QUIET_LIMIT_N:
            self._restart(time_s)
            return False
        for i, value in enumerate(untared_n):
            self._sums[i] += value
        self._count += 1
        lasted_s = time_s - self._began_s
        if lasted_s < _WINDOW_S:
            return False
        zero = tuple(s / self._count for s in self._sums)
        if self.known:
            steps = (abs(new - old) for new, old in zip(zero, self.tare_n, strict=True))
            if max(steps) > DRIFT_LIMIT_N:
                if self._high - self._low > _DEAD_QUIET_LIMIT_N:
                    self._restart(time_s)
                    return False
                if lasted_s < _LONG_WINDOW_S:
                    return False
        self.tare_n = zero
        self.known = True
        self._restart(time_s)
        return True
