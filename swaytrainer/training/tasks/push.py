"""Is a base that is to move pushed, and in the heard canter? Asked once a stride."""

from __future__ import annotations

import math
from collections import deque
from typing import Final

import numpy as np

from swaytrainer.motion.cadence import LEAST_RIPPLE, Signal, find_cadence

#: Some four of the slowest strides that a level may ask for.
WINDOW_S: Final = 4.2
#: The pushed cadence may differ from the heard one by this share. Ours.
LIKE_THE_SOUND: Final = 0.25
#: So many samples a second suffice to see strides.
_KEPT_HZ: Final = 40.0


class PushWatch:
    """Keeps the last seconds of the force and looks for their cadence when asked.

    >>> watch = PushWatch(80.0)
    >>> for n in range(320):
    ...     watch.add(0.1 * math.cos(2.0 * math.pi * 1.6 * n / 80.0))
    >>> watch.like(1.0 / 1.6), watch.like(1.0)
    (True, False)
    """

    def __init__(self, rate_hz: float) -> None:
        self._together = max(1, int(rate_hz // _KEPT_HZ))
        self._rate_hz = rate_hz / self._together
        self._kept: deque[float] = deque(maxlen=math.ceil(WINDOW_S * self._rate_hz))
        self._sum = 0.0
        self._count = 0

    def gap(self) -> None:
        """What comes next has nothing to do with what came before."""
        self._kept.clear()
        self._sum, self._count = 0.0, 0

    def add(self, ripple: float) -> None:
        """Take the force over the weight, less one; what is no number is a gap."""
        if not math.isfinite(ripple):
            self.gap()
            return
        self._sum += ripple
        self._count += 1
        if self._count == self._together:
            self._kept.append(self._sum / self._count)
            self._sum, self._count = 0.0, 0

    def like(self, period_s: float) -> bool:
        """Whether the base goes up and down about once in this time."""
        if self._rate_hz * WINDOW_S < 1.0 or not self._kept:
            return False
        values = np.array(self._kept)
        time_s = np.arange(values.size) / self._rate_hz
        signal = Signal(
            "force", "weights", time_s, values - values.mean(), self._rate_hz, 2, LEAST_RIPPLE
        )
        cadence_hz = find_cadence(signal).cadence_hz
        return abs(cadence_hz * period_s - 1.0) <= LIKE_THE_SOUND  # NaN is not
