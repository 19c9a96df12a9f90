"""Measured trials as text, as JSON, and as rows of a CSV table."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np

from swaytrainer.app.analysis.trials import Analysed, Measured, Refused
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.table import Measure

_TERMS: Final = (
    "file",
    "trial",
    "family",
    "rate_hz",
    "filter",
    "duration_s",
    "samples",
    "lost_percent",
    "longest_gap_s",
    "mean_force_n",
)
_FLOORS: Final = (
    "path_length_mm",
    "mean_speed_mm_s",
    "mean_speed_ml_mm_s",
    "mean_speed_ap_mm_s",
)


def text_of(analysed: Analysed, about: Mapping[str, Measure]) -> str:
    """The report on a file, as a person reads it."""
    texts = [f"Damage: {sentence}" for sentence in analysed.damage]
    for trial in analysed.trials:
        if isinstance(trial, Refused):
            texts.append(f"{trial.title}\n  {trial.why}")
        else:
            texts.append(_table(trial, about))
    if not analysed.trials:
        texts.append(f"{analysed.file} holds no finished trial.")
    return "\n\n".join(texts)


def _table(trial: Measured, about: Mapping[str, Measure]) -> str:
    trace = trial.trace
    lines = [
        trial.title,
        f"  {trace.time_s.size} samples, {trace.duration_s:.2f} s at {trace.rate_hz:.2f} Hz;"
        f" filter: {trace.filter}",
    ]
    for key, value in trial.values.items():
        floor = trial.floors.get(key)
        beside = "" if floor is None else f" (noise floor {floor:.2g})"
        number = "–" if math.isnan(value) else f"{value:.6g}"
        lines.append(f"  {key:<26}{number:>12} {about[key].unit:<6} {about[key].meaning}{beside}")
    lines += [f"  Note: {sentence}" for sentence in trial.notes]
    if trial.live is not None:
        lines.append(f"  {trial.live}")
    return "\n".join(lines)


def as_json(analysed: Analysed) -> dict[str, Any]:
    """One object: of a recording with its trials, of any other file with its one trial's values."""
    if not analysed.recording:
        [trial] = analysed.trials
        assert isinstance(trial, Measured)
        return _json_trial(trial, analysed.file)
    return {
        "file": str(analysed.file),
        "damage": list(analysed.damage),
        "trials": [
            {"outcome": trial.outcome, "refused": trial.why}
            if isinstance(trial, Refused)
            else {**_json_trial(trial, analysed.file), "outcome": trial.outcome}
            for trial in analysed.trials
        ],
    }


def _json_trial(trial: Measured, file: Path) -> dict[str, Any]:
    floor = trial.floor
    return {
        **trial.values,
        **_terms(trial, file),
        "notes": list(trial.notes),
        "noise_floor": None
        if floor is None
        else {
            **trial.floors,
            "from_empty_s": floor.seconds,
            "scaled_to_n": floor.force_n,
            "cell_noise_n": floor.cell_noise_n,
        },
    }


def _terms(trial: Measured, file: Path) -> dict[str, Any]:
    trace = trial.trace
    return {
        "file": str(file),
        "samples": int(trace.time_s.size),
        "duration_s": trace.duration_s,
        "rate_hz": trace.rate_hz,
        "filter": trace.filter,
        "lost_percent": trace.lost_percent,
        "longest_gap_s": trace.longest_gap_s,
    }


def json_text(value: Any) -> str:
    """JSON in which a measure that can't be given is null, as NaN is none; the notes say why."""

    def clean(v: Any) -> Any:
        if isinstance(v, dict):
            return {k: clean(w) for k, w in v.items()}
        if isinstance(v, list):
            return [clean(w) for w in v]
        return None if isinstance(v, float) and not math.isfinite(v) else v

    return json.dumps(clean(value), indent=2, ensure_ascii=False)


class RowWriter:
    """One row a trial: terms, every measure of the family, its noise floors, notes.

    Numbers are written so that they read back exactly; an empty field is not known, and the notes
    say why.

    Args:
        path: the CSV file. One that is there is written over only if it is such a table.
        family: its name.
        keys: of its measures.
        inputs: the files that are read, which it must not be one of.

    Raises:
        SwaytrainerError: it can't be written, or something else would be lost.
    """

    def __init__(
        self, path: Path, family: str, keys: Sequence[str], inputs: Sequence[Path]
    ) -> None:
        self._path = path
        self._family = family
        self._keys = tuple(keys)
        floors = [f"noise_floor_{key}" for key in _FLOORS if key in self._keys]
        self._header = [*_TERMS, *self._keys, *floors, "mark", "notes"]
        guard_output(path, inputs)
        if path.exists() and not self._ours():
            raise SwaytrainerError(
                f"{path} is there, and is no table that analyse wrote.",
                "Give another name to --csv, or move that file away.",
            )
        self._write([self._header], "w")

    def _ours(self) -> bool:
        try:
            with self._path.open("rb") as file:
                head = file.read(64)
        except OSError:
            return False
        return head == b"" or head.startswith(",".join(_TERMS[:5]).encode())

    def add(self, analysed: Analysed) -> None:
        """Append the rows of one file."""
        self._write([self._row(trial, analysed.file) for trial in analysed.trials], "a")

    def _row(self, trial: Measured | Refused, file: Path) -> list[str]:
        cells: dict[str, Any] = {"file": file, "trial": trial.number, "family": self._family}
        if isinstance(trial, Refused):
            cells["notes"] = trial.why
        else:
            force_n = trial.trace.force_n
            there = force_n[~np.isnan(force_n)]
            cells |= _terms(trial, file)
            cells |= trial.values
            cells |= {f"noise_floor_{key}": least for key, least in trial.floors.items()}
            cells["mean_force_n"] = float(there.mean()) if there.size else None
            cells["mark"] = (trial.outcome or {}).get("mark")
            cells["notes"] = " ".join(trial.notes)
        return [_cell(cells.get(name)) for name in self._header]

    def _write(self, rows: list[list[str]], mode: str) -> None:
        text = io.StringIO(newline="")
        csv.writer(text, lineterminator="\n").writerows(rows)
        try:
            with self._path.open(mode, encoding="utf-8", newline="") as file:
                file.write(text.getvalue())
        except OSError as error:
            raise SwaytrainerError(
                f"Can't write {self._path}: {error.strerror}.", "Give --csv another place."
            ) from None


def _cell(value: Any) -> str:
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return ""
    return repr(value) if isinstance(value, float) else str(value)


def guard_output(path: Path, inputs: Sequence[Path]) -> None:
    """Refuse to write over what is read.

    Raises:
        SwaytrainerError: it is one of the inputs.
    """
    if any(path.resolve() == given.resolve() for given in inputs):
        raise SwaytrainerError(
            f"{path} is one of the files to analyse; it would be lost.",
            "Give the result another name.",
        )
