"""Landings: flight, contact, peak, the feet, and the time to still.

A landing is an onset of load after at least 80 ms of an empty board. If somebody left the board
within 0.9 s before, it ends a hop, whose height is g·t²/8 of its flight time t; else somebody came
from outside, and the height is unknown. An onset from outside that stays below 1.5 body weights for
a quarter of a second is a step onto the board. Nothing here can tell a hop from somebody who steps
off while another jumps on.

**The loads must be unfiltered.** The 10 Hz filter of sway measures takes 37 % off the peak of the
open jump at 600 Hz (zero phase; 31 % causal) and lets the flight ring by 20 N; 20 Hz takes 18 %,
50 Hz 2.5 %, 100 Hz 0.1 %. So a low-pass of 100 Hz and above is allowed, all else is refused.

What a low rate costs is stated beside each value: a flight's two ends lie between samples, and a
peak may be short by what its neighbours suggest. ``python -m tests.motion.landing_errors`` prints
how large the errors are; for 300 built jumps, bias ± SD:

==============  =============  =============
samples/s            80            1,000
==============  =============  =============
flight, ms       -1.3 ± 3.2     0.0 ± 0.2
height, mm       -1.4 ± 3.6     0.0 ± 0.2
peak, %          -2.1 ± 2.5     0.0 ± 0.0
loading, ms       0.4 ± 3.9     0.0 ± 0.2
feet's lag, ms    0.6 ± 3.8     1.6 ± 1.9
==============  =============  =============

The real jump's peak is sharper: at 80 samples a second it comes out 5.4 ± 4.4 % too low, at worst
14 %, and in one of ten phases it is short by more than is stated. A delta-sigma converter's sample
is besides no point but a mean over about its interval: times come out some 5 ms late (which spares
differences of times), peaks another 1.5 % lower.

The height supposes a body of the same shape when leaving and landing; bent knees at landing
lengthen the flight (Linthorne 2001, Am J Phys 69:1198-1204).
"""

from __future__ import annotations

import math
import re
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.landing_feet import FeetAtLanding, feet_at_landing, unknown_feet
from swaytrainer.motion.landing_find import (
    FLIGHT_BELOW_N,
    LEAST_PEAK_BW,
    NEVER,
    PEAK_WITHIN_S,
    Contact,
    Moment,
    Peak,
    check_rate,
    contact_time,
    find_contacts,
    find_peak,
    saturated_samples,
    takeoff_time,
)
from swaytrainer.motion.landing_height import (
    STANDARD_GRAVITY,
    height_before_mm,
    height_of_flight_mm,
)
from swaytrainer.motion.landing_settle import (
    LEAST_WEIGHT_N,
    QuietStance,
    Settling,
    long_standing,
    quiet_samples,
    quiet_speed,
)
from swaytrainer.motion.landing_table import (
    LANDING_MEASURES,
    Landing,
    LandingResult,
    landing_values,
)
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.gaps import GAP_INTERVALS, Flags, pieces
from swaytrainer.sway.prepare import Trace

__all__ = ["LANDING_MEASURES", "measure_landing", "saturated_samples"]

#: A low-pass must lie at least here.
LEAST_CUTOFF_HZ: Final = 100.0
#: A given weight that differs by more is told of (share; ours).
_WEIGHTS_APART: Final = 0.1
_TOO_SOON: Final = "The signal ends too soon after an onset to tell a landing."


def measure_landing(
    trace: Trace,
    feet: Feet | None = None,
    *,
    stance: QuietStance | None = None,
    saturated: Flags | None = None,
    gravity_m_s2: float = STANDARD_GRAVITY,
) -> LandingResult:
    """Find and measure every landing of a trial.

    Each piece without missing samples is looked at by itself: nothing is measured across a gap.

    Args:
        trace: unfiltered (``prepare(..., cutoff_hz=None)``), or above 100 Hz.
        feet: where the vaulter lands; without it nothing is said of left, right, toes and heels.
        stance: weight and quiet speed; what is None or NaN is taken from quiet standing in the
            trace: before the first landing, or from 3 s after one.
        saturated: shape (N,), as from ``saturated_samples``.
        gravity_m_s2: the place's own.

    Raises:
        SwaytrainerError: the trace is filtered or too slow, or weight or gravity can't be.
        ValueError: ``saturated`` has another shape.
    """
    _check(trace, saturated, gravity_m_s2)
    ended = np.zeros(trace.time_s.shape, dtype=np.bool_) if saturated is None else saturated
    parts = [
        _Part(
            trace.time_s[now],
            trace.force_n[now],
            trace.x_mm[now],
            trace.y_mm[now],
            ended[now],
            trace.rate_hz,
        )
        for now in _pieces(trace)
    ]
    found = [(part, find_contacts(part.time_s, part.force_n)) for part in parts]
    contacts_s = [float(part.time_s[c.first]) for part, contacts in found for c in contacts]
    notes = [] if parts else ["The force is not known: nothing can be told of landings."]
    own = _stance(trace, parts, contacts_s, stance, notes)
    landings: list[Landing] = []
    steps_s: list[float] = []
    for part, contacts in found:
        ends = [*(contact.first for contact in contacts[1:]), part.time_s.size]
        for contact, end in zip(contacts, ends, strict=False):
            one, largest_bw = _landing(part, contact, end, feet, own, gravity_m_s2)
            if one.contact is NEVER:
                notes.append(_TOO_SOON)
            elif one.takeoff is not NEVER or largest_bw >= LEAST_PEAK_BW or own is None:
                landings.append(one)
            elif math.isnan(largest_bw):
                notes.append(_TOO_SOON)
            else:
                steps_s.append(one.contact.time_s)
    _say(notes, trace.rate_hz, landings, own, feet)
    return LandingResult(
        landing_values(landings, own) if parts else dict.fromkeys(LANDING_MEASURES, NAN),
        tuple(dict.fromkeys(notes)),
        tuple(landings),
        tuple(steps_s),
        own,
    )


class _Part(NamedTuple):
    """A piece of the trace without missing samples."""

    time_s: Array
    force_n: Array
    x_mm: Array
    y_mm: Array
    saturated: Flags
    rate_hz: float


def _check(trace: Trace, saturated: Flags | None, gravity_m_s2: float) -> None:
    if not 9.7 < gravity_m_s2 < 9.9:
        raise SwaytrainerError(
            f"Nowhere on earth is gravity {gravity_m_s2:g} m/s².", "Give some 9.81."
        )
    cutoff = re.search(r"at ([0-9.]+(?:e[+-]?\d+)?) Hz", trace.filter)
    if trace.filter != "none" and not (cutoff and float(cutoff[1]) >= LEAST_CUTOFF_HZ):
        raise SwaytrainerError(
            f"These loads are filtered ({trace.filter}), which flattens a landing's peak.",
            "Prepare the trace without a filter (cutoff_hz=None).",
        )
    check_rate(trace.rate_hz)
    if saturated is not None and saturated.shape != trace.time_s.shape:
        raise ValueError("saturated must have one flag a sample")


def _pieces(trace: Trace) -> list[slice]:
    """The runs without missing samples. A flight has no COP, so ``breaks`` alone won't do."""
    time_s, x_mm = trace.time_s, trace.x_mm
    whole = np.diff(time_s) * trace.rate_hz <= GAP_INTERVALS
    both = ~np.isnan(x_mm[1:]) & ~np.isnan(x_mm[:-1])
    whole &= ~(trace.breaks[1:] & both)
    finite = np.isfinite(trace.force_n)
    whole &= finite[1:] & finite[:-1]
    return [part for part in pieces(whole) if finite[part.start]]


def _stance(
    trace: Trace,
    parts: list[_Part],
    contacts_s: list[float],
    given: QuietStance | None,
    notes: list[str],
) -> QuietStance | None:
    """Weight and quiet speed: what is given, else from quiet standing."""
    if given is not None and not math.isnan(given.speed_mm_s):
        return given
    quiets = [quiet_samples(part.time_s, part.force_n) for part in parts]
    quiet_n = np.concatenate(
        [part.force_n[quiet] for part, quiet in zip(parts, quiets, strict=True)] or [np.empty(0)]
    )
    mean_n = float(quiet_n.mean()) if quiet_n.size else NAN
    if given is None and not quiet_n.size:
        top_n = max((float(part.force_n.max()) for part in parts), default=NAN)
        if FLIGHT_BELOW_N <= top_n < LEAST_WEIGHT_N:
            QuietStance(top_n)  # raises, with the reason: these are no newtons
        notes.append(
            "There is no second of quiet standing and no weight is given: nothing is told in"
            " body weights, and a step onto the board is not told from a landing."
        )
        return None
    if given is not None and abs(mean_n / given.weight_n - 1.0) > _WEIGHTS_APART:
        notes.append(
            f"The weight given is {given.weight_n:.0f} N, quiet standing shows {mean_n:.0f} N."
        )
    speed = quiet_speed(
        [
            (part.time_s, part.force_n, part.x_mm, part.y_mm, standing)
            for part, quiet in zip(parts, quiets, strict=True)
            for standing in [long_standing(part.time_s, quiet, contacts_s)]
        ],
        trace.rate_hz,
    )
    return QuietStance(mean_n if given is None else given.weight_n, speed)


def _landing(
    part: _Part,
    contact: Contact,
    end: int,
    feet: Feet | None,
    stance: QuietStance | None,
    gravity_m_s2: float,
) -> tuple[Landing, float]:
    """One landing, and the largest force near its contact in body weights."""
    time_s, force = part.time_s, part.force_n
    weight_n = NAN if stance is None else stance.weight_n
    touched = contact_time(time_s, force, contact)
    left = takeoff_time(time_s, force, contact)
    flight_s = touched.time_s - left.time_s
    height_mm = height_of_flight_mm(flight_s, gravity_m_s2)
    longest_mm = height_of_flight_mm(touched.high_s - left.low_s, gravity_m_s2)
    shortest_mm = height_of_flight_mm(max(touched.low_s - left.high_s, 0.0), gravity_m_s2)
    largest_n, peak = find_peak(time_s, force, contact.first, end)
    until = int(np.searchsorted(time_s, time_s[contact.first] + PEAK_WITHIN_S))
    saturated = bool(part.saturated[contact.first : min(until + 1, end)].any())
    rise_mm = height_before_mm(time_s, force, contact, left, weight_n, gravity_m_s2)
    if part.saturated[int(np.searchsorted(time_s, left.time_s - 4.0)) : contact.first].any():
        rise_mm = NAN
    force_still_s = to_still_s = NAN
    if stance is not None:
        settling = _settled(part, contact.first, end, stance)
        force_still_s = settling.force_from_s - touched.time_s
        to_still_s = settling.still_from_s - touched.time_s
    landing = Landing(
        takeoff=left,
        contact=touched,
        flight_s=flight_s,
        height_mm=height_mm,
        height_within_mm=max(longest_mm - height_mm, height_mm - shortest_mm),
        impulse_height_mm=rise_mm,
        half_step_s=0.5 / part.rate_hz,
        peak=peak,
        peak_bw=NAN if peak is None else peak.force_n / weight_n,
        saturated=saturated,
        loading_s=NAN if peak is None or saturated else peak.time_s - touched.time_s,
        feet=_feet(part, contact, touched, peak, saturated, feet, weight_n),
        force_still_s=force_still_s,
        time_to_still_s=to_still_s,
    )
    return landing, largest_n / weight_n


def _settled(part: _Part, first: int, end: int, stance: QuietStance) -> Settling:
    settling = Settling(stance, part.rate_hz)
    for row in zip(*(column[first:end].tolist() for column in part[:4]), strict=True):
        settling.update(*row)
        if not math.isnan(settling.still_from_s):
            break
    return settling


def _feet(
    part: _Part,
    contact: Contact,
    touched: Moment,
    peak: Peak | None,
    saturated: bool,
    feet: Feet | None,
    weight_n: float,
) -> FeetAtLanding:
    if feet is None:
        return unknown_feet("Where the feet land is not given: nothing is told of them.")
    if peak is None or math.isnan(weight_n):
        return unknown_feet("Without a peak or a weight nothing is told of the feet.")
    if saturated:
        return unknown_feet("A cell was at its end: the COP of this landing is wrong.")
    return feet_at_landing(*part[:4], contact, touched, peak.sample, feet, weight_n)


def _say(
    notes: list[str],
    rate_hz: float,
    landings: list[Landing],
    stance: QuietStance | None,
    feet: Feet | None,
) -> None:
    if not landings and not notes:
        notes.append("There is no landing: nobody came onto the empty board from above.")
        return
    if rate_hz < 200.0:
        notes.append(
            f"{rate_hz:.0f} samples a second, {1000.0 / rate_hz:.1f} ms apart: flight, height,"
            " loading time and peak are only known as well as is stated beside them."
        )
    if any(one.saturated for one in landings):
        notes.append(
            "A cell was at its end in a landing: its peak is at least what is given; its loading"
            " time, its rate and all about its feet are unknown."
        )
    if any(one.peak is None for one in landings):
        notes.append("A landing has no peak: a quarter of a second later the force still rose.")
    if stance is not None:
        if math.isnan(stance.speed_mm_s):
            notes.append(
                "There is no quiet range of the COP's speed (two seconds of quiet standing before"
                " the landing or 3 s after it): no time to still."
            )
        elif any(math.isnan(one.time_to_still_s) for one in landings):
            notes.append("After a landing there was no still second before the next, or the end.")
    notes.extend(
        one.feet.problem if feet is not None else "Where the feet land is not given: no lag."
        for one in landings
        if one.feet.problem
    )
