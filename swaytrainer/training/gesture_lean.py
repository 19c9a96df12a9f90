"""A deliberate shift of the weight to one side, held; held on, it repeats like a key."""

from __future__ import annotations

import math
from typing import Final

from swaytrainer.sway.cop import NAN

#: This much of the load, in %, more than usual on one foot is a lean; less than that is its end.
LEAN_PERCENT: Final = 22.0
BACK_PERCENT: Final = 14.0
#: Somebody has stood in the middle, so near, since the last lean.
MIDDLE_PERCENT: Final = 11.0
#: Held for so long it is understood; and again after these; the last one for all that follow.
DWELL_S: Final = (0.7, 1.2, 1.2, 0.8)


class Lean:
    """Follows one shift of the weight after another.

    Attributes:
        side: −1 left, +1 right, 0 neither.
        times: how often this lean has been understood.
        progress: 0 to 1, towards the next time.

    >>> lean = Lean()
    >>> [lean.update(n / 10, 0.0 if n < 2 else 30.0) for n in range(12)].index(1)
    9
    """

    __slots__ = ("_middle", "_since_s", "progress", "side", "times")

    side: int
    times: int

    def __init__(self) -> None:
        self.side = 0
        self.times = 0
        self.restart()

    def restart(self) -> None:
        """What was before is not known: the middle must come first."""
        self._middle = False
        self._end()

    def hold(self) -> None:
        """This is no lean (the ground moves, the knees bend): what was held so far is lost."""
        if self.side != 0:
            self._middle = False
        self._end()

    def update(self, time_s: float, aside_percent: float) -> int:
        """One sample: −1 or +1 at the moment a lean is understood, else 0.

        Args:
            time_s: increasing.
            aside_percent: load on the right foot above what is usual.
        """
        size = abs(aside_percent)
        if self.side == 0:
            if size <= MIDDLE_PERCENT:
                self._middle = True
            elif size >= LEAN_PERCENT and self._middle:
                self.side = 1 if aside_percent > 0.0 else -1
                self._since_s = time_s
            return 0
        if self.side * aside_percent < BACK_PERCENT:
            # A touch in passing does not need the middle again.
            self._end()
            self._middle = size <= MIDDLE_PERCENT
            return 0
        dwell_s = DWELL_S[min(self.times, len(DWELL_S) - 1)]
        # A nanosecond: stamps are not exact in binary.
        self.progress = min(1.0, (time_s - self._since_s + 1e-9) / dwell_s)
        if self.progress < 1.0:
            return 0
        self._since_s = time_s
        self.times += 1
        self.progress = 0.0
        return self.side

    def _end(self) -> None:
        self.side = 0
        self.times = 0
        self.progress = 0.0
        self._since_s = NAN


def reach_s(entries: int) -> float:
    """How long a lean is held until the entry that is furthest away in a ring of so many, s.

    >>> reach_s(2), round(reach_s(15), 1)
    (0.7, 6.3)
    """
    moves = entries // 2
    return math.fsum(DWELL_S[min(n, len(DWELL_S) - 1)] for n in range(moves))
