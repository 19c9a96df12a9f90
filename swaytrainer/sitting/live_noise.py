"""The noise floor, live: while the board is empty, what its noise would be to a vaulter's speed."""

from __future__ import annotations

from collections import deque
from math import hypot
from typing import Final

from swaytrainer.board.calibration import Loads
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.sitting.live_cop import CUTOFF_HZ
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN
from swaytrainer.sway.noise import QUIET_N

#: A filter that has just begun is not yet as calm, or as lively, as it will be.
_SETTLE_S: Final = 0.3
_LEAST_S: Final = 0.75
_LONGEST_S: Final = 20.0
#: What the board showed in the last moment before somebody stepped on was a foot coming down.
_EDGE_S: Final = 0.25
#: Between two calls lies more than this: a trial ran in between.
_APART_S: Final = 0.25


class LiveNoise:
    """Filters the empty board's moments like a vaulter's, and measures their path.

    x = M/F: under a force F that is large against its own noise, the COP's path is that of the
    moments over F. So one measured rate (N·mm a second) serves every weight.

    Args:
        calibration: for the cells' places.
        rate_hz: the board's nominal rate.
    """

    def __init__(self, calibration: BoardCalibration, rate_hz: float) -> None:
        self._places = calibration.places
        self._across = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._along = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._rate_nmm_s = NAN
        self._pending: deque[tuple[float, float]] = deque()
        self._last_s = self._began_s = self._path_began_s = 0.0
        self._path_nmm = self._x = self._y = 0.0
        self._fresh = True

    def gap(self) -> None:
        """What comes next has nothing to do with what came before; what was found stays."""
        self._fresh = True

    def update(self, time_s: float, untared_n: Loads, tare_n: Loads) -> None:
        """Take one sample of a board that may be empty."""
        # Untared: a tare that is renewed would be a step.
        if abs(sum(untared_n) - sum(tare_n)) > QUIET_N:
            self._fresh = True
            return
        x = y = 0.0
        for place, load in zip(self._places, untared_n, strict=True):
            x += place[0] * load
            y += place[1] * load
        if self._fresh or time_s - self._last_s > _APART_S:
            self._fresh = False
            self._pending.clear()
            self._across.restart()
            self._along.restart()
            self._began_s = time_s
        x, y = self._across.update(x), self._along.update(y)
        if time_s - self._began_s < _SETTLE_S:
            self._path_nmm, self._path_began_s = 0.0, time_s
        else:
            self._path_nmm += hypot(x - self._x, y - self._y)
            lasted_s = time_s - self._path_began_s
            if lasted_s >= _LEAST_S:
                self._pending.append((time_s, self._path_nmm / lasted_s))
            if lasted_s >= _LONGEST_S:
                self._path_nmm, self._path_began_s = 0.0, time_s
        while self._pending and self._pending[0][0] <= time_s - _EDGE_S:
            self._rate_nmm_s = self._pending.popleft()[1]
        self._x, self._y, self._last_s = x, y, time_s

    def speed_mm_s(self, force_n: float) -> float:
        """The COP's mean speed that noise makes under this force, at the plate's centre; NaN
        before the board was empty for a moment, or without a force.
        """
        return self._rate_nmm_s / force_n if force_n > 0.0 else NAN
