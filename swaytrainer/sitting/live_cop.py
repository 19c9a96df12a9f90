"""Loads to COP, live: the causal filter runs over force and moments, and the quotient comes after.

Filtering moments and force and then dividing is exact while the force changes; filtering the COP
itself is not.
"""

from __future__ import annotations

from typing import Final, Protocol

from swaytrainer.board.calibration import Calibration, Loads
from swaytrainer.board.pair import BoardCalibration, PairCalibration
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN, CopSample

CUTOFF_HZ: Final = 10.0
LIVE_FILTER: Final = "causal 2nd-order Butterworth, 10 Hz"


class LiveCop(Protocol):
    """A board's loads in, one filtered ``CopSample`` out.

    Attributes:
        feet: with two plates, what is under the left foot and under the right one, in the joint
            frame; None with one, and before the first sample.
    """

    @property
    def feet(self) -> tuple[CopSample, CopSample] | None:
        """See above."""
        ...

    def gap(self) -> None:
        """What comes next has nothing to do with what came before."""
        ...

    def update(self, time_s: float, loads_n: Loads) -> CopSample:
        """One sample's force, COP and twist."""
        ...


def live_cop(calibration: BoardCalibration, rate_hz: float) -> LiveCop:
    """What a board needs.

    Args:
        calibration: for the cells' places and the load threshold.
        rate_hz: the board's nominal rate; at least four times the cut-off.
    """
    if isinstance(calibration, PairCalibration):
        return _Pair(calibration, rate_hz)
    return _Plate(calibration, rate_hz)


class _Plate:
    """One plate.

    Args:
        calibration, rate_hz: as for ``live_cop``.
        middle_x_mm: where the plate's middle is in the joint frame.
    """

    feet = None

    def __init__(self, calibration: Calibration, rate_hz: float, middle_x_mm: float = 0.0) -> None:
        (self._x1, self._y1), (self._x2, self._y2), (self._x3, self._y3), (self._x4, self._y4) = (
            (x + middle_x_mm, y) for x, y in calibration.places
        )
        self._threshold_n = calibration.load_threshold_n
        self._force = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._moment_x = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._moment_y = CausalLowpass(CUTOFF_HZ, rate_hz)
        self._twist = CausalLowpass(CUTOFF_HZ, rate_hz)

    def gap(self) -> None:
        for lowpass in (self._force, self._moment_x, self._moment_y, self._twist):
            lowpass.restart()

    def update(self, time_s: float, loads_n: Loads) -> CopSample:
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


class _Pair:
    """Two plates: each foot's own, and the joint COP x = (F_l·x_l + F_r·x_r) / (F_l + F_r).

    A foot that bears less than its plate's threshold has no COP of its own, but its load still
    counts: so the joint one is made of moments, not of the feet's COPs.
    """

    def __init__(self, calibration: PairCalibration, rate_hz: float) -> None:
        self._threshold_n = calibration.load_threshold_n
        self._plates = (
            _Plate(calibration.left, rate_hz, -0.5 * calibration.apart_mm),
            _Plate(calibration.right, rate_hz, 0.5 * calibration.apart_mm),
        )
        (self._joint_x, self._joint_y) = (
            CausalLowpass(CUTOFF_HZ, rate_hz),
            CausalLowpass(CUTOFF_HZ, rate_hz),
        )
        self._places = calibration.places
        self.feet: tuple[CopSample, CopSample] | None = None

    def gap(self) -> None:
        for plate in self._plates:
            plate.gap()
        self._joint_x.restart()
        self._joint_y.restart()

    def update(self, time_s: float, loads_n: Loads) -> CopSample:
        left = self._plates[0].update(time_s, loads_n[:4])
        right = self._plates[1].update(time_s, loads_n[4:])
        self.feet = (left, right)
        x = y = 0.0
        for (px, py), load in zip(self._places, loads_n, strict=True):
            x += px * load
            y += py * load
        x, y = self._joint_x.update(x), self._joint_y.update(y)
        force = left.force_n + right.force_n
        twist = max(left.twist_n, right.twist_n, key=abs)
        if force < self._threshold_n:
            return CopSample(time_s, force, NAN, NAN, twist)
        return CopSample(time_s, force, x / force, y / force, twist)


class PlainCop:
    """Force and COP of each sample by itself, without a filter; the twist is left out (0)."""

    def __init__(self, calibration: BoardCalibration) -> None:
        self._places = calibration.places
        self._threshold_n = calibration.load_threshold_n

    def update(self, time_s: float, loads_n: Loads) -> CopSample:
        """One sample."""
        force = sum(loads_n)
        if force < self._threshold_n:
            return CopSample(time_s, force, NAN, NAN, 0.0)
        x = y = 0.0
        for (px, py), load in zip(self._places, loads_n, strict=True):
            x += px * load
            y += py * load
        return CopSample(time_s, force, x / force, y / force, 0.0)
