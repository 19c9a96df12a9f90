"""Absorption while it happens: a number two strides after the start, a new one each stride.

Live and offline values differ: this one looks at the last four strides, each a segment of one
period (``absorption.stride_gain``'s way), the offline one at the whole trial.
"""

from __future__ import annotations

import math
from collections import deque
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.absorption import GRAVITY_M_S2, LIGHTEST_N, stride_gain
from swaytrainer.motion.live_strides import WINDOW_S, LiveStrides
from swaytrainer.motion.transfer import least_coherence
from swaytrainer.sway.cop import NAN, Array

#: So many strides make one number.
MEMORY: Final = 4
_POINTS: Final = 32


class LiveAbsorbed(NamedTuple):
    """The number of the last strides.

    Attributes:
        time_s: when it was made, the end of a stride; NaN before the first.
        strides: how many it is of, 0 before the first.
        cadence_hz: at that time.
        force_ripple_percent: rms of the force about its mean, over the mean.
        absorption_percent: 100·(1 - |H|) at the cadence; NaN where not measurable.
        coherence: of those strides.
        reason: why absorption is NaN, "" if it is not.
    """

    time_s: float
    strides: int
    cadence_hz: float
    force_ripple_percent: float
    absorption_percent: float
    coherence: float
    reason: str


_WAITING: Final = LiveAbsorbed(
    NAN, 0, NAN, NAN, NAN, NAN, "Not measurable yet: no two strides of a cadence."
)


class LiveAbsorption:
    """Give it force and plate acceleration, sample by sample.

    Args:
        rate_hz: samples a second, at least 24.
        accelerometer: whether there is one; without, only the ripple is told.
        plate_mass_kg: all that lies on the cells without the body.
        gravity_m_s2: local gravity.

    Raises:
        SwaytrainerError: rate or mass is impossible.

    >>> live = LiveAbsorption(100.0, accelerometer=True, plate_mass_kg=0.0)
    >>> for n in range(151):
    ...     base = 3.0 * math.cos(2.0 * math.pi * 2.0 * n / 100.0)
    ...     live.update(n / 100.0, 45.0 * (9.80665 + 0.4 * base), base)
    >>> round(live.get().absorption_percent)
    60
    """

    def __init__(
        self,
        rate_hz: float,
        *,
        accelerometer: bool,
        plate_mass_kg: float = 0.0,
        gravity_m_s2: float = GRAVITY_M_S2,
    ) -> None:
        if not 0.0 <= plate_mass_kg < math.inf:
            raise SwaytrainerError(
                f"A plate's mass is zero or above, not {plate_mass_kg:g} kg.",
                "Weigh what lies on the cells, in kilograms.",
            )
        self._strides = LiveStrides(rate_hz, "acceleration" if accelerometer else "force")
        self._accelerometer = accelerometer
        self._plate_kg = plate_mass_kg
        self._gravity = gravity_m_s2
        self._raw: deque[tuple[float, float, float]] = deque(maxlen=math.ceil(WINDOW_S * rate_hz))
        self._rows: deque[tuple[Array, Array]] = deque(maxlen=MEMORY)
        self._now = _WAITING
        self.gap()

    def gap(self) -> None:
        """What comes next has nothing to do with what came before."""
        self._strides.gap()
        self._raw.clear()
        self._restart()

    def _restart(self) -> None:
        self._rows.clear()
        self._end_s = self._end_turns = NAN
        self._now = _WAITING

    def update(self, time_s: float, force_n: float, plate_m_s2: float = NAN) -> None:
        """Take one sample of the tared force (N) and the plate's upward acceleration (m/s²).

        Gravity may be in the acceleration or not: what is constant has no say.
        A force, or with an accelerometer an acceleration, that is not a number is a gap; so is a
        time that does not increase.
        """
        b = plate_m_s2 if self._accelerometer else 0.0
        if not (math.isfinite(force_n) and math.isfinite(b) and math.isfinite(time_s)):
            self.gap()
            return
        if self._raw and not time_s > self._raw[-1][0]:
            self.gap()
        self._raw.append((time_s, force_n, b))
        if not self._strides.update(time_s, b if self._accelerometer else force_n):
            return
        now = self._strides.get()
        if math.isnan(now.phase):
            if not math.isnan(self._end_s):
                self._restart()
            return
        period_s = 1.0 / now.cadence_hz
        if math.isnan(self._end_s):
            first_s = now.time_s - 2.0 * period_s
            if self._raw[0][0] > first_s + 0.02 * period_s:
                return
            self._take(first_s, now.time_s - period_s)
            self._take(now.time_s - period_s, now.time_s)
        elif now.turns >= self._end_turns + 1.0 and now.time_s > self._end_s + 0.5 * period_s:
            self._take(max(self._end_s, self._raw[0][0]), now.time_s)
        else:
            return
        self._end_s, self._end_turns = now.time_s, now.turns
        self._now = self._reckon(now.time_s, now.cadence_hz)

    def get(self) -> LiveAbsorbed:
        """The latest number."""
        return self._now

    def _take(self, start_s: float, end_s: float) -> None:
        raw = np.array(self._raw)
        at = start_s + (end_s - start_s) * np.arange(_POINTS) / _POINTS
        self._rows.append(
            (np.interp(at, raw[:, 0], raw[:, 2]), np.interp(at, raw[:, 0], raw[:, 1]))
        )

    def _reckon(self, time_s: float, cadence_hz: float) -> LiveAbsorbed:
        base = np.array([row[0] for row in self._rows])
        # Less the plate's inertia; a constant rest, even all of gravity, is not the base's motion.
        force = np.array([row[1] for row in self._rows]) - self._plate_kg * (base - base.mean())
        count, mean_n = base.shape[0], float(force.mean())
        if mean_n < LIGHTEST_N:
            why = f"Not measurable: {mean_n:.0f} N is nobody's weight; are the loads kilograms?"
            return LiveAbsorbed(time_s, count, cadence_hz, NAN, NAN, NAN, why)
        ripple = 100.0 * float(force.std()) / mean_n
        if not self._accelerometer:
            why = "Not measurable without an accelerometer on the plate."
            return LiveAbsorbed(time_s, count, cadence_hz, ripple, NAN, NAN, why)
        gain, coherence = stride_gain(base, self._gravity * (force / mean_n - 1.0))
        why = ""
        if math.isnan(gain):
            why = (
                f"Not measurable: coherence {coherence:.2f}, {least_coherence(count):.2f} is"
                f" needed of {count} strides."
            )
        return LiveAbsorbed(time_s, count, cadence_hz, ripple, 100.0 * (1.0 - gain), coherence, why)
