"""Loads to COP, live: the causal filter runs over force and moments, and the quotient comes after.

Filtering moments and force and then dividing is exact while the force changes; filtering the COP
itself is not.
"""

from __future__ import annotations

from typing import Final

from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN, CopSample

CUTOFF_HZ: Final = 10.0
LIVE_FILTER: Final = "causal 2nd-order Butterworth, 10 Hz"


class LiveCop:
    """Four loads in, one filtered ``CopSample`` out.

    Args:
        calibration: for the cells' places and the load threshold.
        rate_hz: the board's nominal rate; at least four times the cut-off.
    """

    def __init__(self, calibration: Calibration, rate_hz: float) -> None:
        (self._x1, self._y1), (self._x2, self._y2), (self._x3, self._y3), (self._x4, self._y4) = (
            calibration.places
        )
        self._threshold_n = calibration.load_threshold_n
        self._force = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._moment_x = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._moment_y = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._twist = CausalLowpass(CUTOFF_HZ, rate_hz)

    def gap(self) -> None:
        """What comes next has nothing to do with what came before."""
        for lowpass in (self._force, self._moment_x, self._moment_y, self._twist):
            lowpass.restart()

    def update(self, time_s: float, loads_n: Vector4) -> CopSample:
        """One sample's force, COP and twist."""
        fl, fr, rl, rr = loads_n
        force = self._force.update(fl + fr + rl + rr)
        moment_x = self._moment_x.update(
            fl * self._x1 + fr * self._x2 + rl * self._x3 + rr * self._x4
        )
        moment_y = self._moment_y.update(
            fl * self._y1 + fr * self._y2 + rl * self._y3 + rr * self._y4
        )
        twist = self._twist.update(fl - fr - rl + rr)
        if force < self._threshold_n:
            return CopSample(time_s, force, NAN, NAN, twist)
        return CopSample(time_s, force, moment_x / force, moment_y / force, twist)
