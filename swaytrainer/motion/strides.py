"""Strides of a moving base: when each begins, and anything cut into them, each stretched to one.

A stride begins where the base's fundamental is lowest (its upward acceleration, or the force, is
highest): with the COP as signal, where it is furthest along its axis. A hand-pushed base is
irregular, so the phase is that of the band about the mean cadence (its Hilbert transform), not a
clock's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from swaytrainer.motion.acceleration import PlateAcceleration
from swaytrainer.motion.cadence import (
    FUNDAMENTAL,
    Signal,
    analytic,
    even_runs,
    find_cadence,
    force_breaks,
    stride_signal,
)
from swaytrainer.sway.butterworth import PAD_SAMPLES, zero_phase
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags
from swaytrainer.sway.prepare import Trace
from swaytrainer.sway.table import Measure

#: A stride longer or shorter than this, in usual ones, is none.
_SHORTEST, _LONGEST = 0.6, 1.7
#: Where the stride's swing is weaker than this share of the usual one, the base has stopped.
_WEAKEST = 0.2
#: So near to the end of a run, in usual strides, the phase is not to be trusted.
_MARGIN = 0.3

_OURS = "phase of the band about the cadence"

STRIDE_MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "cadence_hz": Measure("Hz", "strides a second, over all whole strides", _OURS),
        "strides": Measure("", "whole strides found", _OURS),
        "stride_time_s": Measure("s", "mean time of a stride", _OURS),
        "stride_time_variation_percent": Measure(
            "%", "standard deviation (1/(N-1)) of the stride times over their mean", _OURS
        ),
        "stride_clarity": Measure(
            "",
            "how well a stride repeats the one before, 1 exactly",
            "McLeod & Wyvill 2005, ICMC 138-141",
        ),
    }
)


class Stride(NamedTuple):
    """One whole stride, from its lowest point to the next."""

    start_s: float
    end_s: float

    @property
    def seconds(self) -> float:
        """How long it lasted."""
        return self.end_s - self.start_s


@dataclass(frozen=True, slots=True, eq=False)
class Strides:
    """All that is known of the strides of a trial.

    Attributes:
        values: under the keys of ``STRIDE_MEASURES``.
        notes: what could not be measured and why; what the strides were found in.
        each: the whole strides, in order; none bridges a gap.
        source: what they were found in: "acceleration", "force" or "COP".
    """

    values: dict[str, float]
    notes: tuple[str, ...]
    each: tuple[Stride, ...]
    source: str

    @property
    def cadence_hz(self) -> float:
        """NaN if there is none."""
        return self.values["cadence_hz"]


def measure_strides(trace: Trace, plate: PlateAcceleration | None = None) -> Strides:
    """Find cadence and strides.

    Args:
        trace: the trial; unfiltered or filtered, it does not matter here.
        plate: the plate's acceleration, if there is an accelerometer.

    Returns:
        NaN and no stride where there is no cadence, with the reason in ``notes``.
    """
    signal = stride_signal(trace, plate)
    found = find_cadence(signal)
    values = dict.fromkeys(STRIDE_MEASURES, NAN)
    values["stride_clarity"] = found.clarity
    if found.reason:
        return Strides(values, (found.reason,), (), signal.name)
    each = _cut(signal, found.cadence_hz)
    notes = [f"Strides were found in the {signal.name}."]
    if plate is not None and signal.name != "acceleration":
        notes.append("The acceleration does not cover the trial.")
    if len(each) < 2:
        notes.append("No cadence: fewer than two whole strides without a gap.")
        return Strides(values, tuple(notes), (), signal.name)
    times = np.array([stride.seconds for stride in each])
    mean_s = float(times.mean())
    values.update(
        cadence_hz=1.0 / mean_s,
        strides=float(times.size),
        stride_time_s=mean_s,
        stride_time_variation_percent=100.0 * float(times.std(ddof=1)) / mean_s,
    )
    return Strides(values, tuple(notes), each, signal.name)


def normalised(time_s: Array, values: Array, stride: Stride, points: int, breaks: Flags) -> Array:
    """One stride of a series at ``points`` even phases 0, 1/points …; NaN if it has a gap.

    Args:
        time_s, values: shape (N,).
        stride: which.
        points: how many.
        breaks: shape (N,), ``breaks[i]``: the interval before i is not bridged.
    """
    i, j = np.searchsorted(time_s, [stride.start_s, stride.end_s])
    i, j = max(int(i) - 1, 0), min(int(j) + 1, time_s.size)
    # Stamps of a stride at the very end of a trial may lie a hair beyond the last sample.
    hair = 1e-3 * stride.seconds
    missing = time_s[i] > stride.start_s + hair or time_s[j - 1] < stride.end_s - hair
    if missing or breaks[i + 1 : j].any() or not np.isfinite(values[i:j]).all():
        return np.full(points, NAN)
    at = stride.start_s + stride.seconds * np.arange(points) / points
    return np.asarray(np.interp(at, time_s[i:j], values[i:j]))


def stride_phase(strides: tuple[Stride, ...], time_s: Array) -> tuple[NDArray[np.int64], Array]:
    """For each time which stride it is in (-1: none) and how far through it (0-1, NaN: none)."""
    number: NDArray[np.int64] = np.full(time_s.size, -1, dtype=np.int64)
    phase: Array = np.full(time_s.size, NAN)
    if strides:
        starts = np.array([stride.start_s for stride in strides])
        ends = np.array([stride.end_s for stride in strides])
        i = np.searchsorted(starts, time_s, side="right") - 1
        inside = (i >= 0) & (time_s < ends[np.maximum(i, 0)])
        number[inside] = i[inside]
        k = i[inside]
        phase[inside] = (time_s[inside] - starts[k]) / (ends[k] - starts[k])
    return number, phase


def _cut(signal: Signal, cadence_hz: float) -> tuple[Stride, ...]:
    """Whole strides in every run that is long enough."""
    low, high = (edge * cadence_hz for edge in FUNDAMENTAL)
    none = np.zeros(signal.time_s.size, dtype=np.bool_)
    runs = [
        run
        for run in even_runs(signal.time_s, signal.values, signal.rate_hz, none)
        if run.stop - run.start >= 2.0 * signal.rate_hz / cadence_hz
    ]
    turns = [analytic(signal.values[run], signal.rate_hz, low, high, 0) for run in runs]
    usual = float(np.median(np.abs(np.concatenate(turns)))) if turns else NAN
    found: list[Stride] = []
    for run, turning in zip(runs, turns, strict=True):
        time_s = signal.time_s[run]
        phase = np.unwrap(np.angle(turning)) / (2.0 * np.pi)
        # Noise may turn back; the furthest so far never does.
        phase = np.maximum.accumulate(phase)
        whole = np.arange(np.ceil(phase[0]), np.floor(phase[-1]) + 1.0)
        onsets = np.interp(whole, phase + 1e-12 * np.arange(phase.size), time_s)
        margin_s = _MARGIN / cadence_hz
        onsets = onsets[(onsets >= time_s[0] + margin_s) & (onsets <= time_s[-1] - margin_s)]
        weak = np.abs(turning) < _WEAKEST * usual
        for start_s, end_s in zip(onsets[:-1].tolist(), onsets[1:].tolist(), strict=True):
            stride = Stride(start_s, end_s)
            i, j = np.searchsorted(time_s, [start_s, end_s])
            if _SHORTEST < stride.seconds * cadence_hz < _LONGEST and not weak[i:j].any():
                found.append(stride)
    return tuple(found)


def like_the_loads(up: Array, trace: Trace, cutoff_hz: float | None) -> Array:
    """An acceleration on the loads' stamps, filtered as the loads were, in each unbroken piece.

    Args:
        up: shape (N,), NaN where unknown.
        trace: of those loads.
        cutoff_hz: of their zero-phase filter, None for none.
    """
    if cutoff_hz is None:
        return up
    out = np.full(up.shape, NAN)
    for run in even_runs(trace.time_s, up, trace.rate_hz, force_breaks(trace)):
        if run.stop - run.start > PAD_SAMPLES:
            out[run] = zero_phase(up[run], cutoff_hz, trace.rate_hz)
    return out
