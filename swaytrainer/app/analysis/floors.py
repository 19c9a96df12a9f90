"""The noise floor beside each path and speed: from the same plate while it was at rest."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.plate_series import PlateSeries
from swaytrainer.sway.noise import LEAST_S, QUIET_N, NoiseFloor, near_floor, noise_floor
from swaytrainer.sway.prepare import Trace

#: Rates that differ by no more than this share are one rate.
_SAME_RATE: Final = 0.01


def floor_or_none(series: PlateSeries, trace: Trace, cutoff_hz: float | None) -> NoiseFloor | None:
    """The floor from a stretch that is known to be of the empty board; None if it is too short."""
    try:
        return _scaled(series, trace, cutoff_hz)
    except SwaytrainerError:
        return None  # the empty board's samples can't be filtered: there is no floor to tell


def floor_of(series: PlateSeries, path: Path, trace: Trace, cutoff_hz: float | None) -> NoiseFloor:
    """The plate's noise under a trial's body, from a file of it empty or under a dead weight.

    Args:
        series: what the file holds.
        path: the file, for errors.
        trace: the trial.
        cutoff_hz: of the trial's filter.

    Raises:
        SwaytrainerError: naming the file: it has no force, is too short, not quiet, or of another
            rate; or the trial has no force to scale to.
    """
    if np.isnan(trace.force_n).all():
        raise SwaytrainerError(
            "The trial has no force, to which the plate's noise could be scaled.",
            "Add the column force_n, or leave --empty out.",
        )
    if not series.force_known:
        raise SwaytrainerError(
            f"{path} has no force: its noise can't be scaled to a body.",
            "Give the loads, or COP and force_n, of the plate under a dead weight.",
        )
    seconds = float(series.time_s[-1] - series.time_s[0])
    if seconds < LEAST_S:
        raise SwaytrainerError(
            f"{path} holds {seconds:.1f} s: too short for a noise floor.",
            "Record the plate at rest for at least three seconds.",
        )
    force_n = series.loads_n.sum(axis=1)
    stray_n = float(np.abs(force_n - np.median(force_n)).max())
    if stray_n > QUIET_N:
        raise SwaytrainerError(
            f"{path} is not of a plate at rest: its force strays {stray_n:.1f} N from its middle.",
            "Record the plate empty, or under a dead weight, and touch nothing.",
        )
    rate_hz = 1.0 / float(np.median(np.diff(series.time_s)))
    if abs(rate_hz / trace.rate_hz - 1.0) > _SAME_RATE:
        raise SwaytrainerError(
            f"{path} has {rate_hz:.1f} samples a second, the trial {trace.rate_hz:.1f}:"
            " the path of noise depends on the rate.",
            "Record the plate at the trial's rate.",
        )
    return _scaled(series, trace, cutoff_hz)


def _scaled(series: PlateSeries, trace: Trace, cutoff_hz: float | None) -> NoiseFloor:
    return noise_floor(
        series.time_s,
        series.loads_n,
        series.places,
        float(np.nanmean(trace.force_n)),
        float(np.nanmean(trace.x_mm)),
        float(np.nanmean(trace.y_mm)),
        cutoff_hz=cutoff_hz,
    )


def floor_values(floor: NoiseFloor | None, trace: Trace) -> dict[str, float]:
    """The floor of each path and speed, under its key; {} if there is none."""
    if floor is None:
        return {}
    return {
        "path_length_mm": floor.mean_speed_mm_s * trace.duration_s,
        "mean_speed_mm_s": floor.mean_speed_mm_s,
        "mean_speed_ml_mm_s": floor.mean_speed_ml_mm_s,
        "mean_speed_ap_mm_s": floor.mean_speed_ap_mm_s,
    }


def floor_notes(
    floor: NoiseFloor | None, trace: Trace, values: Mapping[str, float], source: str
) -> list[str]:
    """What to say about it; ``source``: "of" what the noise is."""
    floors = {key: least for key, least in floor_values(floor, trace).items() if key in values}
    if floor is None:
        if "path_length_mm" not in values:
            return []
        return [
            "Noise floor unknown: path and speeds hold an unknown part of the board's own noise"
            " (it is measured where a recording shows the empty board for three seconds, or from"
            " a file of the plate at rest that --empty names)."
        ]
    said = [
        f"Noise floor: what the same filter makes of {floor.seconds:.1f} s {source}, scaled to the"
        f" body's {floor.force_n:.0f} N."
    ]
    near = [key for key, least in floors.items() if near_floor(values[key], least)]
    if near:
        said.append(f"Near the noise floor, so lengthened by more than 5 %: {', '.join(near)}.")
    return said
