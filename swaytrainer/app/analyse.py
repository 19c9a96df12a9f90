"""``swaytrainer analyse``: every sway measure of a CSV file or of a recording's trials."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.sitting import feet_of
from swaytrainer.store.load_table import read_load_table
from swaytrainer.store.recording import FIRST_LINE, SUFFIX, outcome_json, read_recording
from swaytrainer.store.trials import RecordedTrial, trials_of
from swaytrainer.sway.cop import CellPlaces, Places
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.noise import NoiseFloor, near_floor, noise_floor
from swaytrainer.sway.prepare import Trace, prepare
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES, foot_measures, notes, sway_measures


def analyse(
    path: Path,
    half_width_mm: float | None,
    half_depth_mm: float | None,
    cutoff_hz: float | None,
    as_json: bool,
) -> str:
    """The report on one file, as text or JSON.

    Args:
        path: a CSV of corner loads (plain or gzipped), or a recording.
        half_width_mm, half_depth_mm: where a CSV's cells stood; a recording knows its own.
        cutoff_hz: of the zero-phase filter, None for none.
        as_json: JSON instead of a table.

    Raises:
        SwaytrainerError: the file, or what is asked of it, can't be used.
    """
    if _is_recording(path):
        return _analyse_recording(path, cutoff_hz, as_json)
    for option, value in (("--half-width", half_width_mm), ("--half-depth", half_depth_mm)):
        if value is None or not (math.isfinite(value) and value > 0):
            raise SwaytrainerError(
                f"For a CSV file, {option} must say where the load cells stood.",
                "Give it in mm, from the plate's centre, for example --half-width 220.",
            )
    assert half_width_mm is not None
    assert half_depth_mm is not None
    table = read_load_table(path)
    trace = prepare(
        table.time_s,
        table.loads_n,
        CellPlaces.rectangle(half_width_mm, half_depth_mm),
        cutoff_hz=cutoff_hz,
    )
    values = sway_measures(trace)
    if as_json:
        return _json({**values, **_about(path, trace), "noise_floor": None})
    return _table(str(path), trace, values)


def _is_recording(path: Path) -> bool:
    if path.suffix == SUFFIX:
        return True  # and if it is none, the reader of recordings says what is wrong with it
    try:
        with path.open("rb") as file:
            return file.read(len(FIRST_LINE)).startswith(FIRST_LINE[:12])
    except OSError as error:
        raise SwaytrainerError(
            f"Can't read {path}: {error.strerror}.", "Check the path and the file."
        ) from None


def _analyse_recording(path: Path, cutoff_hz: float | None, as_json: bool) -> str:
    recording = read_recording(path)
    setup = recording.setup
    feet = feet_of(setup)
    trials: list[dict[str, Any]] = []
    texts = [f"Damage: {sentence}" for sentence in recording.damage]
    for trial in trials_of(recording):
        title = f"{path}: trial {trial.outcome.number}, {setup.vaulter.name}, {setup.level.title}"
        try:
            trace, values = _measure(trial, setup.calibration.places, feet, cutoff_hz)
        except SwaytrainerError as error:
            trials.append({"outcome": outcome_json(trial.outcome), "refused": str(error)})
            texts.append(f"{title}\n  {error}")
            continue
        floor = _floor(trial, trace, setup.calibration.places, cutoff_hz)
        trials.append(
            {
                **values,
                **_about(path, trace),
                "noise_floor": _floor_json(floor, trace),
                "outcome": outcome_json(trial.outcome),
            }
        )
        mark = "no mark" if trial.outcome.mark is None else f"mark {trial.outcome.mark:.1f}"
        texts.append(
            f"{_table(title, trace, values, floor)}\n  Live, {trial.outcome.terms.filter}: {mark}."
            f" {trial.outcome.reason}"
        )
    if as_json:
        return _json({"file": str(path), "damage": list(recording.damage), "trials": trials})
    return "\n\n".join(texts) if texts else f"{path} holds no finished trial."


def _measure(
    trial: RecordedTrial, places: Places, feet: Feet, cutoff_hz: float | None
) -> tuple[Trace, dict[str, float]]:
    trace = prepare(trial.time_s, trial.loads_n, places, cutoff_hz=cutoff_hz)
    level = trial.view.level
    return trace, {
        **sway_measures(trace),
        **foot_measures(trace, feet, level.band_low_percent, level.band_high_percent),
    }


def _floor(
    trial: RecordedTrial, trace: Trace, places: Places, cutoff_hz: float | None
) -> NoiseFloor | None:
    """The board's noise under this body, from when the same recording's board was empty."""
    if trial.empty is None:
        return None
    try:
        return noise_floor(
            *trial.empty,
            places,
            float(np.nanmean(trace.force_n)),
            float(np.nanmean(trace.x_mm)),
            float(np.nanmean(trace.y_mm)),
            cutoff_hz=cutoff_hz,
        )
    except SwaytrainerError:
        return None  # the empty board's samples can't be filtered: there is no floor to tell


def _floors(floor: NoiseFloor, trace: Trace) -> dict[str, float]:
    """The floor of each path and speed, under its key."""
    return {
        "path_length_mm": floor.mean_speed_mm_s * trace.duration_s,
        "mean_speed_mm_s": floor.mean_speed_mm_s,
        "mean_speed_ml_mm_s": floor.mean_speed_ml_mm_s,
        "mean_speed_ap_mm_s": floor.mean_speed_ap_mm_s,
    }


def _floor_json(floor: NoiseFloor | None, trace: Trace) -> dict[str, float] | None:
    if floor is None:
        return None
    return {
        **_floors(floor, trace),
        "from_empty_s": floor.seconds,
        "scaled_to_n": floor.force_n,
        "cell_noise_n": floor.cell_noise_n,
    }


def _floor_notes(floor: NoiseFloor | None, trace: Trace, values: dict[str, float]) -> list[str]:
    if floor is None:
        return [
            "Noise floor unknown: path and speeds hold an unknown part of the board's own noise"
            " (it is measured where a recording shows the empty board for three seconds)."
        ]
    said = [
        f"Noise floor: what the same filter makes of {floor.seconds:.1f} s of the empty board of"
        f" this recording, scaled to the body's {floor.force_n:.0f} N."
    ]
    near = [k for k, least in _floors(floor, trace).items() if near_floor(values[k], least)]
    if near:
        said.append(f"Near the noise floor, so lengthened by more than 5 %: {', '.join(near)}.")
    return said


def _about(path: Path, trace: Trace) -> dict[str, Any]:
    return {
        "file": str(path),
        "samples": int(trace.time_s.size),
        "duration_s": trace.duration_s,
        "rate_hz": trace.rate_hz,
        "filter": trace.filter,
        "lost_percent": trace.lost_percent,
        "longest_gap_s": trace.longest_gap_s,
        "notes": notes(trace),
    }


def _json(value: dict[str, Any]) -> str:
    # NaN is no JSON: a measure that can't be given is null, and the notes say why.
    def clean(v: Any) -> Any:
        if isinstance(v, dict):
            return {k: clean(w) for k, w in v.items()}
        if isinstance(v, list):
            return [clean(w) for w in v]
        return None if isinstance(v, float) and not math.isfinite(v) else v

    return json.dumps(clean(value), indent=2, ensure_ascii=False)


def _table(
    title: str, trace: Trace, values: dict[str, float], floor: NoiseFloor | None = None
) -> str:
    lines = [
        title,
        f"  {trace.time_s.size} samples, {trace.duration_s:.2f} s at {trace.rate_hz:.2f} Hz;"
        f" filter: {trace.filter}",
    ]
    about = {**MEASURES, **FOOT_MEASURES}
    floors = {} if floor is None else _floors(floor, trace)
    for key, value in values.items():
        beside = f" (noise floor {floors[key]:.2g})" if key in floors else ""
        number = "–" if math.isnan(value) else f"{value:.6g}"
        lines.append(f"  {key:<26}{number:>12} {about[key].unit:<6} {about[key].meaning}{beside}")
    lines += [f"  Note: {sentence}" for sentence in notes(trace)]
    lines += [f"  Note: {sentence}" for sentence in _floor_notes(floor, trace, values)]
    return "\n".join(lines)
