"""From a file, whatever it is, to the measured trials in it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from swaytrainer.app.analysis.families import Family, Known, measure
from swaytrainer.app.analysis.floors import floor_notes, floor_of, floor_or_none, floor_values
from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.acceleration import PlateAcceleration
from swaytrainer.sitting.sitting import feet_of
from swaytrainer.store import c3d_file, cop_table, load_table
from swaytrainer.store.csv_columns import header_of, read_text
from swaytrainer.store.plate_series import PlateSeries
from swaytrainer.store.recording import FIRST_LINE, SUFFIX, outcome_json, read_recording
from swaytrainer.store.trials import RecordedTrial, trials_of
from swaytrainer.sway.cop import NAN, Array, CellPlaces, Places
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.noise import NoiseFloor
from swaytrainer.sway.prepare import Trace, prepare

#: Cells nearer to the plate's centre than this are metres taken for millimetres.
_NEAREST_MM: Final = 20.0
#: A body's COP moves more than this within seconds; only units make it less.
_STILL_MM: Final = 0.5
_STRONGEST_N: Final = 100_000.0
#: Rates that differ by no more than this share are one rate.
_SAME_RATE: Final = 0.01


@dataclass(frozen=True, slots=True)
class How:
    """What the command line asks for.

    Attributes:
        family: which measures.
        filtered: whether the family's filter is used.
        half_width_mm, half_depth_mm: where the cells of a table of loads stood.
        plate: of a C3D file: a number, "all", or None.
        forward_edge: of a C3D plate.
        known: the feet, unless a recording knows better, and the band.
        empty: a file of the same plate while it was empty or under a dead weight.
    """

    family: Family
    filtered: bool = True
    half_width_mm: float | None = None
    half_depth_mm: float | None = None
    plate: str | None = None
    forward_edge: str = "12"
    known: Known = field(default_factory=Known)
    empty: Path | None = None

    @property
    def cutoff_hz(self) -> float | None:
        """Of the zero-phase filter, None for none."""
        return self.family.cutoff_hz if self.filtered else None


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """One measured trial.

    Attributes:
        number: of the trial in a recording, None in any other file.
        title: file, and of a recording who and what.
        trace: force and COP, as they were measured.
        values: under the family's keys.
        notes: what a reader must know, in sentences.
        feet: where they stood, None if unknown.
        floors: the noise floor of each path and speed, {} if unknown.
        floor: the noise floor itself.
        outcome: of a recording's trial, as JSON has it.
        live: a line on what was shown then.
    """

    number: int | None
    title: str
    trace: Trace
    values: Mapping[str, float]
    notes: tuple[str, ...]
    feet: Feet | None
    floors: Mapping[str, float]
    floor: NoiseFloor | None
    outcome: dict[str, Any] | None = None
    live: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Refused:
    """A trial of a recording that can't be measured, and why."""

    number: int
    title: str
    why: str
    outcome: dict[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class Analysed:
    """A file and its trials.

    Attributes:
        file: its path.
        recording: whether it is one of ours, with any number of trials.
        trials: in order.
        damage: what is broken in a recording, in sentences.
    """

    file: Path
    recording: bool
    trials: tuple[Measured | Refused, ...]
    damage: tuple[str, ...] = ()


def analyse_file(path: Path, how: How) -> Analysed:
    """Measure every trial of a file.

    Raises:
        SwaytrainerError: naming the file, what is wrong with it or with what is asked, and what to
            do.
    """
    try:
        if _is_recording(path):
            return _recording(path, how)
        series = read_series(path, how)
        return Analysed(path, False, (_measured(path, series, how),))
    except SwaytrainerError as error:
        if str(path) in error.what:
            raise
        raise SwaytrainerError(f"{path}: {error.what}", error.remedy) from None


def read_series(path: Path, how: How) -> PlateSeries:
    """The samples of a file that is no recording: C3D, corner loads, or COP.

    Raises:
        SwaytrainerError: as ``analyse_file``.
    """
    if path.suffix.lower() == c3d_file.SUFFIX or _head(path)[1:2] == bytes([c3d_file.KEY]):
        return c3d_file.read_c3d(path, how.plate, how.forward_edge)
    text = read_text(path)
    header = header_of(text, str(path))
    if not set(load_table.LOADS) & set(header) and set(cop_table.COLUMNS[1:]) & set(header):
        return cop_table.parse_cop_table(text, str(path))
    if not text.strip():
        raise SwaytrainerError(f"{path} is empty.", "Give a file with a recorded trial.")
    if not set(load_table.LOADS) & set(header):
        raise SwaytrainerError(
            f"{path} has neither a column front_left_n nor a column cop_x_mm.",
            f"The first line must name {', '.join(load_table.COLUMNS)},"
            f" or {', '.join(cop_table.COLUMNS)}.",
        )
    return load_table.parse_load_table(text, str(path), _places(how))


def _places(how: How) -> CellPlaces:
    given: list[float] = []
    for option, value in (
        ("--half-width", how.half_width_mm),
        ("--half-depth", how.half_depth_mm),
    ):
        if value is None or not (math.isfinite(value) and value >= _NEAREST_MM):
            raise SwaytrainerError(
                f"For a CSV file of corner loads, {option} must say where the load cells stood.",
                "Give it in mm, from the plate's centre, for example --half-width 220.",
            )
        given.append(value)
    return CellPlaces.rectangle(*given)


def _head(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(len(FIRST_LINE))
    except OSError as error:
        raise SwaytrainerError(
            f"Can't read {path}: {error.strerror}.", "Check the path and the file."
        ) from None


def _is_recording(path: Path) -> bool:
    # With that ending, and being none, the reader of recordings says what is wrong with it.
    return path.suffix == SUFFIX or _head(path).startswith(FIRST_LINE[:12])


def _trace(series: PlateSeries, cutoff_hz: float | None) -> Trace:
    if float(np.abs(series.loads_n).max(initial=0.0)) > _STRONGEST_N:
        raise SwaytrainerError(
            f"A load is beyond {_STRONGEST_N / 1000.0:g} kN.", "Give the loads in newtons."
        )
    trace = prepare(series.time_s, series.loads_n, series.places, cutoff_hz=cutoff_hz)
    if not series.twist_known:
        trace = replace(trace, twist_n=np.full(trace.time_s.shape, NAN))
    if not series.force_known:
        trace = replace(trace, force_n=np.full(trace.time_s.shape, NAN))
    return trace


def _measured(path: Path, series: PlateSeries, how: How) -> Measured:
    trace = _trace(series, how.cutoff_hz)
    known = replace(
        how.known,
        plate=_acceleration(series.acceleration),
        loads_cutoff_hz=how.cutoff_hz,
    )
    result = measure(how.family, trace, known)
    floor = None
    if how.empty is not None:
        floor = _floor_of_file(how.empty, how, trace)
    return Measured(
        None,
        str(path),
        trace,
        result.values,
        (
            *series.notes,
            *_unit_notes(trace),
            *_force_notes(series, how),
            *result.notes,
            *floor_notes(floor, trace, result.values, f"of {how.empty}"),
        ),
        how.known.feet,
        floor_values(floor, trace),
        floor,
    )


def _acceleration(read: tuple[Array, Array] | None) -> PlateAcceleration | None:
    return None if read is None else PlateAcceleration(*read)


def _each_foot(trial: RecordedTrial, places: Places, how: How) -> tuple[Trace, Trace] | None:
    """Each foot's own trace where there are two plates and both feet stood on theirs."""
    if len(places) != 2 * 4:
        return None
    left, right = (
        prepare(trial.time_s, trial.loads_n[:, part], places[part], cutoff_hz=how.cutoff_hz)
        for part in (slice(0, 4), slice(4, 8))
    )
    return left, right


def _floor_of_file(empty: Path, how: How, trace: Trace) -> NoiseFloor:
    return floor_of(read_series(empty, how), empty, trace, how.cutoff_hz)


def _unit_notes(trace: Trace) -> list[str]:
    widest = max(float(np.nanmax(v) - np.nanmin(v)) for v in (trace.x_mm, trace.y_mm))
    if widest >= _STILL_MM or trace.duration_s < 5.0:
        return []
    return [
        f"The COP moves {widest:.2g} mm in {trace.duration_s:.0f} s, less than anybody's who"
        " stands: a dead weight, or are the lengths metres?"
    ]


def _force_notes(series: PlateSeries, how: How) -> list[str]:
    if series.force_known:
        return []
    if how.cutoff_hz is None:
        return ["The force is unknown."]
    return [
        "The force is unknown, so the COP itself was filtered: that equals filtering the loads"
        " only while the force is steady."
    ]


def _recording(path: Path, how: How) -> Analysed:
    recording = read_recording(path)
    setup = recording.setup
    feet = feet_of(setup)
    trials: list[Measured | Refused] = []
    for trial in trials_of(recording):
        number = trial.outcome.number
        title = f"{path}: trial {number}, {setup.vaulter.name}, {setup.level.title}"
        try:
            trials.append(_recorded(trial, number, title, setup.calibration.places, feet, how))
        except SwaytrainerError as error:
            trials.append(Refused(number, title, str(error), outcome_json(trial.outcome)))
    return Analysed(path, True, tuple(trials), tuple(recording.damage))


def _recorded(
    trial: RecordedTrial, number: int, title: str, places: Places, feet: Feet, how: How
) -> Measured:
    trace = _trace(PlateSeries(trial.time_s, trial.loads_n, places), how.cutoff_hz)
    level = trial.view.level
    known = replace(
        how.known,
        feet=feet,
        band_percent=(level.band_low_percent, level.band_high_percent),
        plate=_acceleration(trial.acceleration),
        loads_cutoff_hz=how.cutoff_hz,
        each_foot=_each_foot(trial, places, how),
    )
    result = measure(how.family, trace, known)
    floor, source = None, "of the empty board of this recording"
    if trial.empty is not None:
        floor = floor_or_none(PlateSeries(*trial.empty, places), trace, how.cutoff_hz)
    if floor is None and how.empty is not None:
        floor, source = _floor_of_file(how.empty, how, trace), f"of {how.empty}"
    outcome = trial.outcome
    mark = "no mark" if outcome.mark is None else f"mark {outcome.mark:.1f}"
    return Measured(
        number,
        title,
        trace,
        result.values,
        (
            *result.notes,
            *floor_notes(floor, trace, result.values, source),
        ),
        feet,
        floor_values(floor, trace),
        floor,
        outcome_json(outcome),
        f"Live, {outcome.terms.filter}: {mark}. {outcome.reason}",
    )
