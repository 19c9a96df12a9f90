"""Where somebody leaves the board and comes back, and the force's peak: between the samples too.

When a foot really left or came down lies somewhere between two samples. A straight line between
them is a poor guess: force rises from nothing at contact, so the line meets the threshold far too
soon. Instead the first samples under load are extended to no force. At 80 samples a second, over
300 built jumps, the flight time then is wrong by -1.3 ± 3.2 ms (bias ± SD); a straight line makes
-6.4 ± 4.4, the middle of the interval 1.5 ± 5.9. On the one real jump, thinned out to 80 at 100
phases and held against itself at 600, it is 3.4 ± 3.5 against -6.2 ± 1.5 and 2.0 ± 4.1: there the
middle does as well, since the toes leave more slowly than a line. What is certain are the bounds
(``Moment``), and they are given with every value.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags

#: Fewer samples a second show no landing. Ours.
LEAST_RATE_HZ: Final = 50.0
#: Below this nobody is on the board, N. Well above a tared board's noise and drift (below 1 N) and
#: above the 17 N that a laboratory plate strayed to in the flight of the open jump; and a push-off
#: or a landing passes it within a millisecond or two. ``sway.prepare`` has no COP below it either.
FLIGHT_BELOW_N: Final = 20.0
#: A slope is taken over at least this long: between neighbours at 600 samples a second a real
#: plate's noise of 6 N makes it worthless. Ours.
SLOPE_OVER_S: Final = 0.004 - 1e-9
#: A light child's foot may take this long for the first 20 N; more is not allowed for. Ours.
_SLOW_S: Final = 0.005
#: A shorter lift is a board that rings or a foot that shifts: g·t²/8 of 80 ms is 8 mm. Ours.
LEAST_FLIGHT_S: Final = 0.08
#: g·t²/8 of 0.9 s is a metre, higher than anybody hops: somebody got off and on again. Ours.
LONGEST_FLIGHT_S: Final = 0.9
#: The peak is looked for this long after contact; a deep knee bend or the next push-off comes
#: later. Ours; the peaks of built and real landings came 30 to 110 ms after contact.
PEAK_WITHIN_S: Final = 0.25
#: An onset from an empty board that stays below this is somebody stepping on, not landing (body
#: weights). Ours.
LEAST_PEAK_BW: Final = 1.5


class Moment(NamedTuple):
    """A time (s), and the bounds between which it lies."""

    time_s: float
    low_s: float
    high_s: float

    @property
    def within_s(self) -> float:
        """The largest possible error."""
        return max(self.high_s - self.time_s, self.time_s - self.low_s)


NEVER = Moment(NAN, NAN, NAN)


class Peak(NamedTuple):
    """The largest sample, and what the samples beside it say.

    Attributes:
        time_s: of the vertex of the parabola through it and its two neighbours.
        force_n: the sample's, so at least the true peak but for noise.
        short_n: how much may be missing: a parabola whose vertex lies half an interval beside the
            sample is a quarter of its second difference/2 higher; twice that is given, since real
            peaks are no parabolas.
        sample: its number.
    """

    time_s: float
    force_n: float
    short_n: float
    sample: int


class Contact(NamedTuple):
    """An onset of load after an empty board.

    Attributes:
        first: number of the first sample under load.
        last_before: number of the last sample under load before the empty stretch; -1 if none.
    """

    first: int
    last_before: int


def check_rate(rate_hz: float) -> None:
    """Refuse a rate at which a landing can't be seen.

    Raises:
        SwaytrainerError: fewer than ``LEAST_RATE_HZ``, or no number.
    """
    if not LEAST_RATE_HZ * 0.99 <= rate_hz < math.inf:
        raise SwaytrainerError(
            f"{rate_hz:.1f} samples a second are too few for a landing:"
            f" it needs {LEAST_RATE_HZ:g}.",
            "Record faster: at 80 a second the height of a hop is known to some 2 cm.",
        )


def crossing(
    outer: tuple[float, float], inner: tuple[float, float], further: tuple[float, float]
) -> Moment:
    """When the force came from nothing or went to nothing, from samples (time in s, force in N).

    The line through the two samples under load is followed to no force; it may pass the sample
    outside by as much as it needs for the last ``FLIGHT_BELOW_N``. Works in both directions of
    time.

    Args:
        outer: the sample below the threshold.
        inner, further: the nearest one at or above it, and the next one beyond that which is at
            least ``SLOPE_OVER_S`` away.

    >>> moment = crossing((0.0, 0.0), (0.01, 200.0), (0.02, 600.0))  # 40 N/ms: 5 ms before
    >>> [round(at_s, 6) for at_s in moment]
    [0.005, -0.0005, 0.01]
    """
    interval_s = outer[0] - inner[0]
    if further[1] > inner[1]:
        s_per_n = (inner[0] - further[0]) / (further[1] - inner[1])  # outwards, as interval_s
        share = inner[1] * s_per_n / interval_s
        slow_s = min(FLIGHT_BELOW_N * abs(s_per_n), max(_SLOW_S, abs(interval_s)))
    else:
        share, slow_s = 0.5, abs(interval_s)
    farthest = 1.0 + slow_s / abs(interval_s)
    bounds = sorted((inner[0] + farthest * interval_s, inner[0]))
    return Moment(inner[0] + min(share, farthest) * interval_s, bounds[0], bounds[1])


def find_contacts(time_s: Array, force_n: Array) -> list[Contact]:
    """All onsets of load after at least ``LEAST_FLIGHT_S`` of an empty board.

    Args:
        time_s, force_n: shape (N,), one piece without gaps, finite.

    >>> time = np.arange(100) / 100.0
    >>> force = np.where((time > 0.295) & (time < 0.595), 0.0, 500.0)
    >>> find_contacts(time, force)
    [Contact(first=60, last_before=29)]
    """
    below = np.concatenate([[False], force_n < FLIGHT_BELOW_N, [False]])
    edges = np.flatnonzero(below[1:] != below[:-1]).reshape(-1, 2)
    return [
        Contact(int(stop), int(start) - 1)
        for start, stop in edges
        if stop < time_s.size and time_s[stop - 1] - time_s[start] >= LEAST_FLIGHT_S
    ]


def contact_time(time_s: Array, force_n: Array, contact: Contact) -> Moment:
    """When the first foot came down; ``NEVER`` if the piece ends within 4 ms: too soon to say."""
    first = contact.first
    if time_s[-1] - time_s[first] < SLOPE_OVER_S:
        return NEVER
    further = int(np.flatnonzero(time_s[first:] - time_s[first] >= SLOPE_OVER_S)[0]) + first
    return crossing(*((float(time_s[i]), float(force_n[i])) for i in (first - 1, first, further)))


def takeoff_time(time_s: Array, force_n: Array, contact: Contact) -> Moment:
    """When the last foot left; ``NEVER`` for an onset without a take-off of the last 0.9 s."""
    last = contact.last_before
    if last < 0 or time_s[contact.first - 1] - time_s[last + 1] > LONGEST_FLIGHT_S:
        return NEVER
    earlier = np.flatnonzero(time_s[last] - time_s[:last] >= SLOPE_OVER_S)
    if earlier.size == 0:
        return NEVER
    further = int(earlier[-1])
    return crossing(*((float(time_s[i]), float(force_n[i])) for i in (last + 1, last, further)))


def find_peak(time_s: Array, force_n: Array, first: int, end: int) -> tuple[float, Peak | None]:
    """The largest force within ``PEAK_WITHIN_S`` of sample ``first``, and before sample ``end``.

    Args:
        time_s, force_n: shape (N,), one piece without gaps.
        first: the contact.
        end: the next contact, or N.

    Returns:
        The largest force (N; NaN if the piece ends before that time), and the peak: None if the
        force is still rising at the end of that time.
    """
    until = int(np.searchsorted(time_s, time_s[first] + PEAK_WITHIN_S))
    if until >= end:
        if end == time_s.size:
            return NAN, None
        until = end - 1
    top = first + int(force_n[first : until + 1].argmax())
    largest = float(force_n[top])
    if top == until:
        return largest, None
    beside = ((float(time_s[i]), float(force_n[i])) for i in (top - 1, top, top + 1))
    return largest, peak_at(top, *beside)


def peak_at(
    number: int,
    before: tuple[float, float],
    top: tuple[float, float],
    after: tuple[float, float],
) -> Peak:
    """The peak from its largest sample and the two beside it, each (time in s, force in N).

    >>> peak_at(7, (0.0, 900.0), (0.01, 1000.0), (0.02, 900.0))
    Peak(time_s=0.01, force_n=1000.0, short_n=50.0, sample=7)
    """
    bend = top[1] - 0.5 * (before[1] + after[1])
    lean = 0.25 * (after[1] - before[1]) / bend if bend > 0.0 else 0.0  # in intervals, |lean| ≤ ½
    step_s = 0.5 * (after[0] - before[0])
    return Peak(top[0] + lean * step_s, top[1], 0.5 * max(bend, 0.0), number)


def saturated_samples(loads_n: Array, full_scale_n: float) -> Flags:
    """Shape (N,): a cell was at its end, or within a thousandth of it.

    Args:
        loads_n: shape (N, cells), **not tared**, N: a cell ends where its own load ends.
        full_scale_n: what a cell, or its converter, can show.

    Raises:
        SwaytrainerError: a full scale that is none.
    """
    if not 0.0 < full_scale_n < math.inf:
        raise SwaytrainerError(
            f"A cell that ends at {full_scale_n:g} N is none.", "Give newtons above zero."
        )
    at_end: Flags = np.abs(loads_n).max(axis=1) >= 0.999 * full_scale_n
    return at_end
