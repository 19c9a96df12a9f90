"""Standing still enough to begin."""

from __future__ import annotations

import math
from typing import Final

#: The force stays within this share of itself for this long.
SETTLED_SHARE: Final = 0.12
SETTLED_FOR_S: Final = 1.5
#: A base that never lets the force settle must not keep anybody from starting.
SETTLE_LIMIT_S: Final = 8.0


class Settling:
    """Watches the force from ``begin_s`` on.

    >>> watch = Settling(0.0)
    >>> [watch.update(n / 10, 450.0) for n in (1, 8, 16)]
    [False, False, True]
    """

    def __init__(self, begin_s: float) -> None:
        self._limit_s = begin_s + SETTLE_LIMIT_S
        self.restart(begin_s)

    def restart(self, now_s: float) -> None:
        """What was before now is not known to have been still (after a gap)."""
        self._began_s = now_s
        self._low_n = math.inf
        self._high_n = -math.inf
        self._sum_n = 0.0
        self._count = 0

    def left_s(self, now_s: float) -> float:
        """Seconds of stillness still wanted."""
        return max(SETTLED_FOR_S - (now_s - self._began_s), 0.0)

    def update(self, now_s: float, force_n: float) -> bool:
        """Take one sample; whether it is settled."""
        self._low_n = min(self._low_n, force_n)
        self._high_n = max(self._high_n, force_n)
        self._sum_n += force_n
        self._count += 1
        mean = self._sum_n / self._count
        if now_s >= self._limit_s:
            return True
        if self._high_n - self._low_n > SETTLED_SHARE * mean:
            self.restart(now_s)
        return now_s - self._began_s >= SETTLED_FOR_S
