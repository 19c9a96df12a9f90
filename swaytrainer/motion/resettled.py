"""A foot lifted and set down elsewhere: the COP swings under one foot, then settles at a new place.

To lift a foot, all the weight must first be on the other; so the COP goes there and comes back,
quicker than anybody sways, and beyond both the old place and the new one. That swing is what tells
a step from a lean (no swing) and from a shift of the weight (back to the old place).
"""

from __future__ import annotations

import math
from collections import deque
from typing import Final, NamedTuple

from swaytrainer.motion.carried import BIN_S, Bin
from swaytrainer.motion.incident import Limits
from swaytrainer.sway.feet import Feet

#: How fast the quiet place and its spread are followed.
_PLACE_S: Final = 3.0
_SPREAD_S: Final = 10.0
#: Speed is measured over two bins and more than this is no quiet stance (real trials: up to
#: 149 mm/s over 0.1 s, but on foam only).
_QUIET_MM_S: Final = 130.0
_QUIET_SHARE: Final = 0.12
_SPEED_BINS: Final = 2
#: A swing is so many of the place's own spreads, and more than this share of the way sideways (one
#: foot to the other is more than half of the widest step).
_SPREADS: Final = 4.5
_BEYOND_SHARE: Final = 0.7
#: A step's force is the weight on average: going up and down adds up to nothing. Who leans on
#: something swings too.
_CARRIED_SHARE: Final = 0.08
#: Settled: for so long no further from its own middle than a quiet spread.
_SETTLED_BINS: Final = round(0.8 / BIN_S)
_GIVE_UP_S: Final = 5.0
_HISTORY: Final = round(4.0 / BIN_S)
_BEFORE: Final = (round(1.6 / BIN_S), round(0.4 / BIN_S))
#: As long as nothing is known: rather that of a restless stance on foam, mm.
_FIRST_SPREAD_MM: Final = 7.0


class Place(NamedTuple):
    """Where a quiet COP lies, and its spread (rms, mm) across and along."""

    x_mm: float
    y_mm: float
    spread_x_mm: float
    spread_y_mm: float

    @property
    def radius_mm(self) -> float:
        """Within this of the place the COP is quiet: two spreads, and never under 15 mm."""
        return max(15.0, 2.0 * math.hypot(self.spread_x_mm, self.spread_y_mm))


class Resettled(NamedTuple):
    """A step: from when to when, how far the middle went, how far the COP swung beyond it."""

    start_s: float
    end_s: float
    shift_x_mm: float
    shift_y_mm: float
    swing_mm: float


class StepWatch:
    """Follows the quiet place, and what leaves it and settles elsewhere.

    Args:
        limits: for swing, speed and shift.
        feet: where the feet stand, if that is known.
    """

    def __init__(self, limits: Limits, feet: Feet | None = None) -> None:
        self._limits = limits
        self._swing_mm = limits.swing_mm
        if feet is not None:
            half_mm = 0.5 * (feet.right_x_mm - feet.left_x_mm)
            self._swing_mm = max(22.0, limits.swing_stance_share * half_mm)
        self.bins: deque[Bin] = deque(maxlen=_HISTORY)
        self._spread2_x = self._spread2_y = _FIRST_SPREAD_MM**2
        self.restart()

    def restart(self) -> None:
        """The next place is a new one: after a gap, an empty board, a hop."""
        self.bins.clear()
        self._x = self._y = math.nan
        self._weight_s = 0.0
        self._out_s = math.nan

    @property
    def place(self) -> Place:
        """The quiet place as it now is."""
        return Place(self._x, self._y, math.sqrt(self._spread2_x), math.sqrt(self._spread2_y))

    def update(self, now: Bin) -> Resettled | None:
        """Take one bin; a step when the COP has settled after it."""
        if math.isnan(now.x_mm):
            self.restart()
            return None
        bins = self.bins
        bins.append(now)
        if math.isnan(self._x):
            self._x, self._y = now.x_mm, now.y_mm
        speed = self._speed()
        if not math.isnan(self._out_s):
            return self._outside(now, speed)
        aside = abs(now.x_mm - self._x)
        swing = max(0.8 * self._swing_mm, 3.0 * math.sqrt(self._spread2_x))
        if aside > swing and speed > 0.6 * self._limits.swing_mm_s:
            self._begin(now)
        elif speed < _QUIET_MM_S and abs(now.excess) < _QUIET_SHARE:
            self._follow(now)
        return None

    def _speed(self) -> float:
        bins = self.bins
        if len(bins) <= _SPEED_BINS:
            return 0.0
        new, old = bins[-1], bins[-1 - _SPEED_BINS]
        return math.hypot(new.x_mm - old.x_mm, new.y_mm - old.y_mm) / (new.time_s - old.time_s)

    def _follow(self, now: Bin) -> None:
        # A mean at first, then an exponential one.
        self._weight_s = min(self._weight_s + BIN_S, _PLACE_S)
        share = BIN_S / self._weight_s
        dx, dy = now.x_mm - self._x, now.y_mm - self._y
        self._x += share * dx
        self._y += share * dy
        share = BIN_S / _SPREAD_S
        self._spread2_x += share * (dx * dx - self._spread2_x)
        self._spread2_y += share * (dy * dy - self._spread2_y)

    def _begin(self, now: Bin) -> None:
        kept = list(self.bins)[-_BEFORE[0] : -_BEFORE[1]] or [self.bins[0]]
        self._old_x = sum(b.x_mm for b in kept) / len(kept)
        self._old_y = sum(b.y_mm for b in kept) / len(kept)
        self._out_s = now.time_s
        self._start_s = self._last_quiet_s()
        self._least_x = self._most_x = now.x_mm
        self._fastest = self._excess = 0.0
        self._out_bins = 0

    def _last_quiet_s(self) -> float:
        """The last bin's time that was at the old place."""
        near = 0.5 * self.place.radius_mm
        for b in reversed(self.bins):
            if math.hypot(b.x_mm - self._old_x, b.y_mm - self._old_y) < near:
                return b.time_s
        return self.bins[0].time_s

    def _outside(self, now: Bin, speed: float) -> Resettled | None:
        self._least_x = min(self._least_x, now.x_mm)
        self._most_x = max(self._most_x, now.x_mm)
        self._fastest = max(self._fastest, speed)
        self._excess += now.excess
        self._out_bins += 1
        if now.time_s - self._out_s < _SETTLED_BINS * BIN_S:
            return None
        kept = list(self.bins)[-_SETTLED_BINS:]
        x = sum(b.x_mm for b in kept) / len(kept)
        y = sum(b.y_mm for b in kept) / len(kept)
        wide = max(10.0, 1.8 * self.place.radius_mm)
        settled = all(
            math.hypot(b.x_mm - x, b.y_mm - y) < wide and abs(b.excess) < _QUIET_SHARE for b in kept
        )
        left = min(self._old_x, x) - self._least_x
        right = self._most_x - max(self._old_x, x)
        swing = max(left, right)
        shift_x, shift_y = x - self._old_x, y - self._old_y
        moved = math.hypot(shift_x, shift_y)
        # Whoever readies for a step leans to the other side first: that is no swing onto a foot.
        enough = max(
            self._swing_mm, _SPREADS * math.sqrt(self._spread2_x), _BEYOND_SHARE * abs(shift_x)
        )
        swung = (
            settled
            and swing >= enough
            and self._fastest >= self._limits.swing_mm_s
            and abs(self._excess / self._out_bins) < _CARRIED_SHARE
        )
        back = settled and moved < self._limits.moved_mm
        # Settled elsewhere without a swing there and back: on one foot, perhaps, for a moment.
        if not (swung or back) and now.time_s - self._out_s < _GIVE_UP_S:
            return None
        self._out_s = math.nan
        self._x, self._y, self._weight_s = x, y, _SETTLED_BINS * BIN_S
        if back or not swung:
            return None
        return Resettled(self._start_s, now.time_s - _SETTLED_BINS * BIN_S, shift_x, shift_y, swing)
