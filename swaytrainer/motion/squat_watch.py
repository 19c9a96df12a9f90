"""Squats live: phase, count, depth so far and toe share, from one sample after another.

It integrates (F - W)·g/W forward from the last still stand, and corrects nothing afterwards: a
live depth is coarser than ``measure_squat``'s, which closes each movement at its end. A still
stand sets the speed to zero and, near the standing height, the height too. Between stills the
error of the depth grows as e·T + b·T²/2 with a speed e at the start and a weight wrong by b/g:
with our figures of 4 mm/s and 0.03 % of the weight, 21 mm in 3 s and 43 mm in 5 s. So the depth
ends after ``LIVE_LIMIT_S`` without a still stand.

Delay: none of its own in depth and shares, they are as late as the filter in front of it (22 ms
behind a causal 10 Hz low-pass); a still stand is known after half a second of it, a repetition
when less than a quarter of the way is left.
"""

from __future__ import annotations

import math
from collections import deque
from enum import Enum
from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.squat_height import GRAVITY_M_S2
from swaytrainer.motion.squat_repetition import PARTIAL_MM, UP_SHARE
from swaytrainer.motion.squat_still import STILL_LEVEL, STILL_RANGE, STILL_S, STILL_TREND
from swaytrainer.sway.cop import NAN
from swaytrainer.sway.feet import Feet

#: So long after a still stand there is a depth.
LIVE_LIMIT_S: Final = 5.0
#: A still stand above this depth is standing again.
_TOP_MM: Final = 30.0
#: A still is no still at this speed: the middle of a slow way.
_STILL_MM_S: Final = 60.0
_MOVING_MM_S: Final = 40.0
#: The weight is the mean over so many looks, 0.05 s apart.
_LOOKS: Final = 60


class SquatPhase(Enum):
    """What the body does."""

    WAITING = "waiting"
    """No still stand yet, or too long ago: stand still for a second."""
    STANDING = "standing"
    DOWN = "down"
    BOTTOM = "bottom"
    UP = "up"


class SquatNow(NamedTuple):
    """What a screen may show.

    Attributes:
        time_s: of the sample.
        phase: what the body does.
        repetitions: squats that were completed.
        depth_mm: of the centre of mass now, 0 standing; NaN while waiting.
        deepest_mm: of this squat so far, or of the last one while standing; NaN before the first.
        toe_share_percent, right_share_percent: now; NaN without a COP.
    """

    time_s: float
    phase: SquatPhase
    repetitions: int
    depth_mm: float
    deepest_mm: float
    toe_share_percent: float
    right_share_percent: float


class SquatWatch:
    """Follows squats sample by sample. Cost a sample: O(1), but for a look back of half a second.

    Args:
        feet: where the feet stand.
        rate_hz: samples a second.
        least_depth_mm: what counts as a squat.
        gravity_m_s2: the place's own.

    Raises:
        SwaytrainerError: a rate or a depth that can't be.
    """

    def __init__(
        self,
        feet: Feet,
        rate_hz: float,
        *,
        least_depth_mm: float = 80.0,
        gravity_m_s2: float = GRAVITY_M_S2,
    ) -> None:
        if not (math.isfinite(rate_hz) and rate_hz >= 20.0):
            raise SwaytrainerError(
                f"Squats can't be followed at {rate_hz:g} samples a second.",
                "Use a board with at least 20.",
            )
        if not (math.isfinite(least_depth_mm) and least_depth_mm >= PARTIAL_MM):
            raise SwaytrainerError(
                f"A squat can't be told from swaying by {least_depth_mm:g} mm.",
                f"Give at least {PARTIAL_MM:g} mm as the depth that counts.",
            )
        self._feet = feet
        self._gravity_mm_s2 = 1000.0 * gravity_m_s2
        self._least_mm = least_depth_mm
        self._recent: deque[float] = deque(maxlen=max(4, round(STILL_S * rate_hz)))
        self._check_every = max(1, round(0.05 * rate_hz))
        self._repetitions = 0
        self._deepest_mm = NAN
        self._since = self._looks = 0
        self._restart()

    @property
    def weight_n(self) -> float:
        """Force of the last still stand; NaN while waiting."""
        return self._weight_n

    def gap(self) -> None:
        """Samples were lost: what the body did meanwhile is unknown. The count is kept."""
        self._restart()

    def update(self, time_s: float, force_n: float, x_mm: float, y_mm: float) -> SquatNow:
        """Take one sample, times increasing; a NaN, or a time that doesn't increase, is a gap."""
        usable = math.isfinite(force_n) and math.isfinite(x_mm) and math.isfinite(y_mm)
        if not (usable and math.isfinite(time_s)):
            self.gap()
            return self._now(time_s, NAN, NAN)
        if not time_s > self._time_s:
            self.gap()
        self._move(time_s, force_n)
        self._recent.append(force_n)
        self._since += 1
        if self._since >= self._check_every and len(self._recent) == self._recent.maxlen:
            self._since = 0
            self._look_for_still(time_s)
        self._count()
        return self._now(time_s, x_mm, y_mm)

    def _restart(self) -> None:
        self._recent.clear()
        self._time_s = -math.inf
        self._since = 0
        self._weight_n = self._pull = self._speed = self._height = self._still_s = NAN
        self._low_mm = NAN  # the deepest of a dip that is under way
        self._high_mm = math.inf  # the least depth since the last

    def _move(self, time_s: float, force_n: float) -> None:
        """Integrate by trapezoids from the last sample to this."""
        pull = self._gravity_mm_s2 * (force_n / self._weight_n - 1.0)
        step = time_s - self._time_s
        if not math.isnan(self._height) and math.isfinite(step):
            speed = self._speed + 0.5 * (self._pull + pull) * step
            self._height += 0.5 * (self._speed + speed) * step
            self._speed = speed
            if time_s - self._still_s > LIVE_LIMIT_S:
                self._height = self._speed = NAN
                self._low_mm, self._high_mm = NAN, math.inf
        self._pull, self._time_s = pull, time_s

    def _look_for_still(self, time_s: float) -> None:
        recent = list(self._recent)
        half = len(recent) // 2
        mean = math.fsum(recent) / len(recent)
        trend = math.fsum(recent[-half:]) / half - math.fsum(recent[:half]) / half
        if mean <= 0.0 or max(recent) - min(recent) > STILL_RANGE * mean:
            return
        if abs(trend) > STILL_TREND * mean:
            return
        known = not math.isnan(self._height)
        if known and abs(mean / self._weight_n - 1.0) > STILL_LEVEL:
            return  # a hand, or the flat top of a slow movement
        if known and abs(self._speed) > _STILL_MM_S:
            return
        if not known or math.isnan(self._low_mm) or -self._height < _TOP_MM:
            if known and not math.isnan(self._low_mm):
                self._finish()
            self._height = 0.0
        # The newest half second may hold the beginning of a movement: it has little say.
        self._looks = min(self._looks + 1, _LOOKS) if known else 1
        old = self._weight_n if known else mean
        self._weight_n = old + (mean - old) / self._looks
        if not known:
            self._pull = self._gravity_mm_s2 * (recent[-1] / self._weight_n - 1.0)
        self._speed, self._still_s = 0.0, time_s

    def _count(self) -> None:
        depth = -self._height
        if math.isnan(depth):
            return
        if math.isnan(self._low_mm):
            self._high_mm = min(self._high_mm, depth)
            if depth - self._high_mm >= PARTIAL_MM:
                self._low_mm = depth
        elif depth > self._low_mm:
            self._low_mm = depth
        elif depth < UP_SHARE * self._low_mm:
            self._finish()
        if not math.isnan(self._low_mm) and self._low_mm >= self._least_mm:
            self._deepest_mm = self._low_mm

    def _finish(self) -> None:
        if self._low_mm >= self._least_mm:
            self._repetitions += 1
        self._low_mm, self._high_mm = NAN, math.inf

    def _now(self, time_s: float, x_mm: float, y_mm: float) -> SquatNow:
        if math.isnan(self._height):
            phase = SquatPhase.WAITING
        elif self._speed < -_MOVING_MM_S:
            phase = SquatPhase.DOWN
        elif self._speed > _MOVING_MM_S:
            phase = SquatPhase.UP
        else:
            phase = SquatPhase.STANDING if math.isnan(self._low_mm) else SquatPhase.BOTTOM
        return SquatNow(
            time_s,
            phase,
            self._repetitions,
            max(0.0, -self._height) if not math.isnan(self._height) else NAN,
            self._deepest_mm,
            self._feet.toe_share_percent(y_mm),
            self._feet.right_share_percent(x_mm),
        )
