"""From recorded loads to a trace that can be measured: checked, filtered, with its gaps marked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.butterworth import PAD_SAMPLES, lowpass, zero_phase
from swaytrainer.sway.cop import NAN, Array, Places, cop_arrays
from swaytrainer.sway.gaps import (
    GAP_INTERVALS,
    GAP_LIMIT_S,
    LOST_LIMIT_PERCENT,
    Flags,
    bridged,
    pieces,
)

_LOAD_NAMES = ("front_left_n", "front_right_n", "rear_left_n", "rear_right_n")


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """A trial's force and COP over time, in the board's frame.

    Attributes:
        time_s: shape (N,), increasing.
        force_n, twist_n: shape (N,).
        x_mm, y_mm: shape (N,); NaN where there is no COP.
        rate_hz: samples a second, measured from the stamps.
        breaks: shape (N,); ``breaks[i]``: the interval from i-1 to i is not bridged, because
            samples are missing or one of the two has no COP. ``breaks[0]`` is True.
        filter: what smoothed the loads, for a label beside every value; "none" if nothing did.
        lost_percent: samples that are missing or have no COP, of all that the time should hold.
        longest_gap_s: the longest time without a bridged interval, 0 without a gap.
    """

    time_s: Array
    force_n: Array
    x_mm: Array
    y_mm: Array
    twist_n: Array
    rate_hz: float
    breaks: Flags
    filter: str
    lost_percent: float
    longest_gap_s: float

    @property
    def duration_s(self) -> float:
        """From the first sample to the last."""
        return float(self.time_s[-1] - self.time_s[0])


def prepare(
    time_s: Array,
    loads_n: Array,
    places: Places,
    *,
    threshold_n: float = 20.0,
    cutoff_hz: float | None = 10.0,
) -> Trace:
    """Check, filter and turn loads into force and COP.

    Force, both moments and the twist are filtered (``butterworth.zero_phase``), each unbroken
    piece by itself, and only then divided: so the COP is right while the force changes too. A
    piece too short to filter has no COP. Samples whose force, filtered or not, is below the
    threshold have none either.

    Args:
        time_s: shape (N,), increasing.
        loads_n: shape (N, 4), newtons, in the order of ``CellPlaces``; or (N, 8) of two plates.
        places: where the cells are, mm.
        threshold_n: below this force nobody is on the board.
        cutoff_hz: of the low-pass; None for none.

    Raises:
        SwaytrainerError: what is wrong with the data, with the first row where it is (rows are
            counted from 1, without a header), and what to do.
        ValueError: the shapes do not fit together.

    >>> from swaytrainer.sway.cop import CellPlaces
    >>> time = np.arange(1, 501) / 100.0
    >>> trace = prepare(time, np.full((500, 4), 150.0), CellPlaces.rectangle(220.0, 170.0))
    >>> round(trace.rate_hz, 9), float(trace.force_n[0].round(6)), trace.filter
    (100.0, 600.0, 'zero-phase Butterworth, order 4, -6 dB at 10 Hz')
    """
    _check_shapes(time_s, loads_n, len(places))
    _check_numbers(loads_n)
    rate_hz, breaks = _clock(time_s)
    raw_n = loads_n.sum(axis=1)
    _check_somebody(raw_n, threshold_n)
    if cutoff_hz is None:
        force_n, x_mm, y_mm, twist_n = cop_arrays(loads_n, places, threshold_n)
        label = "none"
    else:
        # Loads are linear in force, moments and twist: filtering the four is filtering those.
        lowpass(cutoff_hz, rate_hz)  # an impossible cut-off is told before any piece is looked at
        smooth_n = np.full(loads_n.shape, NAN)
        for piece in pieces(~breaks[1:]):
            if piece.stop - piece.start > PAD_SAMPLES:
                smooth_n[piece] = zero_phase(loads_n[piece], cutoff_hz, rate_hz)
        force_n, x_mm, y_mm, twist_n = cop_arrays(smooth_n, places, threshold_n)
        x_mm[raw_n < threshold_n] = NAN
        y_mm[raw_n < threshold_n] = NAN
        label = f"zero-phase Butterworth, order 4, -6 dB at {cutoff_hz:g} Hz"
    if not (~np.isnan(x_mm)).any():
        raise SwaytrainerError(
            f"No unbroken piece is longer than {PAD_SAMPLES} samples: too few to filter.",
            "Record again without losses, or switch the filter off.",
        )
    return _trace(time_s, force_n, x_mm, y_mm, twist_n, rate_hz, breaks, label)


def trace_from_cop(
    time_s: Array,
    force_n: Array,
    x_mm: Array,
    y_mm: Array,
    *,
    twist_n: Array | None = None,
    breaks: Flags | None = None,
    filter_label: str = "none",
) -> Trace:
    """A trace from COP that is known already (live samples, another laboratory's plate).

    Args:
        time_s, force_n, x_mm, y_mm: shape (N,); NaN in x and y together where there is no COP.
        twist_n: shape (N,), NaN if unknown.
        breaks: shape (N,), intervals not to bridge beside those that the stamps show.
        filter_label: what smoothed the values already.

    Raises:
        SwaytrainerError: the stamps are not usable, x and y are not NaN together, or a value is
            infinite.
        ValueError: the shapes do not fit together.
    """
    if not time_s.shape == force_n.shape == x_mm.shape == y_mm.shape:
        raise ValueError("time, force, x and y must have one shape (N,)")
    for name, column in (("force_n", force_n), ("x_mm", x_mm), ("y_mm", y_mm)):
        _refuse(np.isinf(column), f"{name} is infinite", "Give NaN where there is no COP.")
    one_sided = np.isnan(x_mm) != np.isnan(y_mm)
    _refuse(one_sided, "Only one of x_mm and y_mm is a number", "Give both, or neither.")
    rate_hz, found = _clock(time_s)
    if breaks is not None:
        found = found | breaks
    if twist_n is None:
        twist_n = np.full(time_s.shape, NAN)
    return _trace(time_s, force_n, x_mm, y_mm, twist_n, rate_hz, found, filter_label)


def trial_too_broken(
    trace: Trace,
    lost_limit_percent: float = LOST_LIMIT_PERCENT,
    gap_limit_s: float = GAP_LIMIT_S,
) -> str | None:
    """Why this trial must not count, as a sentence; None if it may."""
    if trace.longest_gap_s > gap_limit_s:
        return (
            f"The signal was gone for {trace.longest_gap_s * 1000.0:.0f} ms at a stretch;"
            f" a trial may miss {gap_limit_s * 1000.0:.0f} ms."
        )
    if trace.lost_percent > lost_limit_percent:
        return (
            f"{trace.lost_percent:.1f} % of the samples are lost;"
            f" a trial may lose {lost_limit_percent:g} %."
        )
    return None


def _trace(
    time_s: Array,
    force_n: Array,
    x_mm: Array,
    y_mm: Array,
    twist_n: Array,
    rate_hz: float,
    breaks: Flags,
    label: str,
) -> Trace:
    broken = np.ones(time_s.shape, dtype=np.bool_)
    broken[1:] = ~bridged(x_mm, breaks)
    # Missing samples are counted from the stamps: an interval of three usual ones misses two.
    steps = np.rint(np.diff(time_s)[breaks[1:]] * rate_hz)
    missing = float(np.maximum(steps - 1.0, 0.0).sum())
    lost = missing + float(np.isnan(x_mm).sum())
    whole = np.flatnonzero(~broken[1:])
    waits = time_s[np.append(whole, time_s.size - 1)] - time_s[np.append(0, whole + 1)]
    return Trace(
        time_s=time_s,
        force_n=force_n,
        x_mm=x_mm,
        y_mm=y_mm,
        twist_n=twist_n,
        rate_hz=rate_hz,
        breaks=broken,
        filter=label,
        lost_percent=100.0 * lost / (time_s.size + missing),
        longest_gap_s=float(waits.max()),
    )


def _clock(time_s: Array) -> tuple[float, Flags]:
    """The rate (Hz) from the stamps, and where samples are missing."""
    if time_s.size < 2:
        raise SwaytrainerError(
            f"There are {time_s.size} samples: nothing can be measured below 2.",
            "Record a whole trial.",
        )
    _refuse(~np.isfinite(time_s), "time_s is not a number", "Give every row its time in seconds.")
    steps = np.diff(time_s)
    if not steps.any():
        raise SwaytrainerError(
            "All samples have the same time.", "Give every row its own time in seconds."
        )
    later = np.concatenate([[True], steps > 0.0])
    _refuse(
        ~later,
        "time_s does not increase",
        "Sort the rows by time, and give no time twice.",
    )
    usual_s = float(np.median(steps))
    gap = steps > GAP_INTERVALS * usual_s
    if gap.any():
        rate_hz = float((~gap).sum()) / float(steps[~gap].sum())
    else:
        rate_hz = (time_s.size - 1) / float(time_s[-1] - time_s[0])
    if rate_hz < 2.0:
        raise SwaytrainerError(
            f"The times say {rate_hz:.3g} samples a second, too few for any sway:"
            " is time_s in milliseconds?",
            "Give the times in seconds.",
        )
    return rate_hz, np.concatenate([[True], gap])


def _check_shapes(time_s: Array, loads_n: Array, cells: int) -> None:
    if time_s.ndim != 1 or loads_n.shape != (time_s.size, cells):
        raise ValueError(
            f"shapes must be (N,) and (N, {cells}), not {time_s.shape}, {loads_n.shape}"
        )


def _check_numbers(loads_n: Array) -> None:
    for column in range(loads_n.shape[1]):
        plate = ("left ", "right ")[column // 4] if loads_n.shape[1] > 4 else ""
        _refuse(
            ~np.isfinite(loads_n[:, column]),
            f"{plate}{_LOAD_NAMES[column % 4]} is not a number",
            "Leave rows out whose loads are unknown: a gap is seen by its times.",
        )


def _check_somebody(force_n: Array, threshold_n: float) -> None:
    mean_n = float(force_n.mean())
    if mean_n < -threshold_n:
        raise SwaytrainerError(
            f"The loads add up to {mean_n:.1f} N on average: below zero.",
            "Give loads as positive downward, or calibrate the board again.",
        )
    if mean_n < threshold_n or (force_n >= threshold_n).sum() < 2:
        raise SwaytrainerError(
            f"Nobody is on the board: the loads add up to {mean_n:.1f} N on average,"
            f" below {threshold_n:g} N.",
            "Record while somebody stands on it, and give the loads in newtons.",
        )


def _refuse(bad: Flags, what: str, remedy: str) -> None:
    """Raise, naming the first bad row and how many there are."""
    rows = np.flatnonzero(bad)
    if rows.size:
        more = "" if rows.size == 1 else f" and {rows.size - 1} more"
        raise SwaytrainerError(f"{what} in row {rows[0] + 1}{more}.", remedy)
