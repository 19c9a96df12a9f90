"""Landings as they happen: contact, peak, still.

The same rules as ``landing.measure_landing``, sample by sample, and the same numbers on the same
samples; but each is told only when it is certain: the contact a sample or 4 ms later (its time
lies between samples, and hangs on the force's slope), the peak a quarter of a second after the
contact, the stillness at the end of its second.
"""

from __future__ import annotations

import math
from collections import deque
from typing import Literal, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.landing_find import (
    FLIGHT_BELOW_N,
    LEAST_FLIGHT_S,
    LEAST_PEAK_BW,
    LONGEST_FLIGHT_S,
    NEVER,
    PEAK_WITHIN_S,
    SLOPE_OVER_S,
    Moment,
    check_rate,
    crossing,
    peak_at,
)
from swaytrainer.motion.landing_settle import QuietStance, Settling
from swaytrainer.sway.cop import NAN
from swaytrainer.sway.gaps import GAP_INTERVALS

_Point = tuple[float, float]  # time in s, force in N


class LandingEvent(NamedTuple):
    """Something about a landing has become certain.

    Attributes:
        kind: "contact"; then "peak", or "step" if it was no landing but a step onto the board;
            then "still".
        time_s: when it was, which is before it is told.
        value: of a contact the flight time (s; NaN for one from outside), of a peak or a step the
            force in body weights, of stillness the time to still (s).
        at_least: a cell was at its end, so the peak may be higher.
    """

    kind: Literal["contact", "peak", "step", "still"]
    time_s: float
    value: float
    at_least: bool = False


class LandingWatch:
    """Tells of landings, one event at most with each sample.

    Args:
        stance: the vaulter's weight, and quiet speed; without the speed nothing is called still.
        rate_hz: samples a second.

    Raises:
        SwaytrainerError: fewer than 50 samples a second.

    >>> watch = LandingWatch(QuietStance(600.0), 100.0)
    >>> forces = [0.0] * 20 + [400.0, 900.0, 1500.0, 1200.0] + [600.0] * 60
    >>> for n, force_n in enumerate(forces):
    ...     if event := watch.update(n / 100.0, force_n, 0.0, 0.0):
    ...         print(event.kind, round(event.time_s, 4), round(event.value, 2))
    contact 0.192 nan
    peak 0.2217 2.5
    """

    def __init__(self, stance: QuietStance, rate_hz: float) -> None:
        check_rate(rate_hz)
        self._stance = stance
        self._rate_hz = rate_hz
        self._time_s = NAN
        self._was_left = NEVER  # the take-off before the landing
        self._forget()

    def _forget(self) -> None:
        self._recent: deque[_Point] = deque()  # the last sample, and back to SLOPE_OVER_S before it
        self._left = NEVER  # the take-off before the empty stretch
        self._empty_since_s = NAN
        self._new: tuple[_Point, _Point] | None = None  # a contact that waits for its slope
        self._landing: _Open | None = None

    def gap(self) -> None:
        """Samples were lost: nothing is told across them."""
        self._forget()

    def update(
        self, time_s: float, force_n: float, x_mm: float, y_mm: float, *, saturated: bool = False
    ) -> LandingEvent | None:
        """Take one unfiltered sample.

        Args:
            time_s: increasing; a longer step than 1.5 intervals is a gap.
            force_n: N; one that is no number is a gap.
            x_mm, y_mm: the COP, NaN where there is none.
            saturated: a cell is at its end.

        Raises:
            SwaytrainerError: the time is no number, or does not increase.
        """
        if not math.isfinite(time_s) or time_s <= self._time_s:
            raise SwaytrainerError(
                f"A sample at {time_s:g} s came after one at {self._time_s:g} s.",
                "Give the samples in order, and none twice.",
            )
        if (time_s - self._time_s) * self._rate_hz > GAP_INTERVALS:
            self._forget()
        self._time_s = time_s
        if not math.isfinite(force_n):
            self._forget()
            return None
        now = (time_s, force_n)
        event = self._onset(now)
        if self._landing is not None:
            event = self._landing.update(now, x_mm, y_mm, saturated) or event
        recent = self._recent
        recent.append(now)
        while len(recent) > 1 and time_s - recent[1][0] >= SLOPE_OVER_S:
            recent.popleft()
        return event

    def _onset(self, now: _Point) -> LandingEvent | None:
        """A contact that has become certain, or the end of the landing before one."""
        time_s, force_n = now
        event = None
        if self._new is not None and time_s - self._new[1][0] >= SLOPE_OVER_S:
            assert self._landing is not None
            touched = self._landing.touched = crossing(*self._new, now)
            event = LandingEvent("contact", touched.time_s, touched.time_s - self._was_left.time_s)
            self._new = None
        if force_n < FLIGHT_BELOW_N:
            if math.isnan(self._empty_since_s):
                self._empty_since_s = time_s
                self._left = self._takeoff(now)
            return event
        since_s, self._empty_since_s = self._empty_since_s, NAN
        if math.isnan(since_s) or self._recent[-1][0] - since_s < LEAST_FLIGHT_S:
            return event
        long_ago = self._recent[-1][0] - since_s > LONGEST_FLIGHT_S
        self._was_left = NEVER if long_ago else self._left
        if self._landing is not None:
            event = self._landing.close()
        self._landing = _Open(
            self._stance, self._rate_hz, self._recent[-1], now, self._was_left is NEVER
        )
        self._new = (self._recent[-1], now)
        return event

    def _takeoff(self, now: _Point) -> Moment:
        """From the last sample under load, and the one far enough before it."""
        if not self._recent or self._recent[-1][0] - self._recent[0][0] < SLOPE_OVER_S:
            return NEVER
        return crossing(now, self._recent[-1], self._recent[0])


class _Open:
    """A landing that is going on, from its first sample under load."""

    def __init__(
        self, stance: QuietStance, rate_hz: float, before: _Point, first: _Point, outside: bool
    ) -> None:
        self.touched = NEVER
        self._weight_n = stance.weight_n
        self._outside = outside
        self._first_s = first[0]
        self._top = (before, first, first)  # the largest sample, and those beside it
        self._last = before
        self._rising = False  # the newest sample is the largest
        self._saturated = False
        self._peak_told = False
        self._is_landing = True
        self._settling: Settling | None = Settling(stance, rate_hz)

    def update(self, now: _Point, x_mm: float, y_mm: float, saturated: bool) -> LandingEvent | None:
        event = None
        if not self._peak_told:
            self._saturated |= saturated
            self._climb(now)
            if now[0] >= self._first_s + PEAK_WITHIN_S:
                event = self.close()
        if self._settling is None or not self._is_landing:
            return event
        self._settling.update(*now, x_mm, y_mm)
        still_s = self._settling.still_from_s
        if math.isnan(still_s):
            return event
        self._settling = None
        return LandingEvent("still", still_s, still_s - self.touched.time_s)

    def _climb(self, now: _Point) -> None:
        if self._rising:
            self._top = (self._top[0], self._top[1], now)
        self._rising = self._last[0] < self._first_s or now[1] > self._top[1][1]
        if self._rising:
            self._top = (self._last, now, now)
        self._last = now

    def close(self) -> LandingEvent | None:
        """The peak, when no more of it can come."""
        if self._peak_told:
            return None
        self._peak_told = True
        largest_bw = self._top[1][1] / self._weight_n
        self._is_landing = not self._outside or largest_bw >= LEAST_PEAK_BW
        if not self._is_landing:
            return LandingEvent("step", self.touched.time_s, largest_bw)
        if self._rising:
            return None
        peak = peak_at(0, *self._top)
        return LandingEvent("peak", peak.time_s, largest_bw, self._saturated)
