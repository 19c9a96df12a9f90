"""Anybody's centre of pressure from a CSV file, with or without the force."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.csv_columns import TIME, header_of, parse_columns, read_text
from swaytrainer.store.plate_series import PlateSeries, series_of_moments

COLUMNS: Final = (TIME, "cop_x_mm", "cop_y_mm")
FORCE: Final = "force_n"
#: Stands in for a force that nobody told: any steady one gives the same COP.
_STEADY_N: Final = 1000.0
#: No COP of somebody standing, and no force of somebody landing, lies beyond these.
_FARTHEST_MM: Final = 5000.0
_STRONGEST_N: Final = 100_000.0
#: With less than this nobody is on the plate, as ``prepare`` has it.
EMPTY_N: Final = 20.0


def read_cop_table(path: Path) -> PlateSeries:
    """Read a CSV, plain or gzipped, with the columns of ``COLUMNS`` and perhaps ``FORCE``.

    A row whose COP is empty or "nan" is left out: a gap, told in the notes.

    Raises:
        SwaytrainerError: naming the file, the line and the column, and what to do.
    """
    return parse_cop_table(read_text(path), str(path))


def parse_cop_table(text: str, name: str) -> PlateSeries:
    """``read_cop_table`` on text already read; ``name`` is for errors."""
    known = FORCE in header_of(text, name)
    wanted = (*COLUMNS, FORCE) if known else COLUMNS
    columns = parse_columns(text, name, wanted, may_miss=COLUMNS[1:])
    time_s, x_mm, y_mm = (columns.values[column] for column in COLUMNS)
    force_n = columns.values[FORCE] if known else np.full(time_s.size, _STEADY_N)
    one_sided = np.flatnonzero(np.isnan(x_mm) != np.isnan(y_mm))
    if one_sided.size:
        raise SwaytrainerError(
            f"{name}, line {columns.lines[one_sided[0]]}: only one of cop_x_mm and cop_y_mm"
            " is a number.",
            "Give both, or neither.",
        )
    if known:
        # An empty plate has a force and no COP: that is a flight, not a gap.
        empty = np.isnan(x_mm) & (np.abs(force_n) < EMPTY_N)
        x_mm, y_mm = np.where(empty, 0.0, x_mm), np.where(empty, 0.0, y_mm)
    there = ~np.isnan(x_mm)
    if not there.any():
        raise SwaytrainerError(
            f"{name} has no row with a COP.", "Give a file in which somebody stands on the plate."
        )
    far = np.flatnonzero(there & (np.maximum(np.abs(x_mm), np.abs(y_mm)) > _FARTHEST_MM))
    if far.size:
        raise SwaytrainerError(
            f"{name}, line {columns.lines[far[0]]}: a COP more than {_FARTHEST_MM / 1000:g} m"
            " from the origin.",
            "Give the COP in millimetres from the plate's centre.",
        )
    strong = np.flatnonzero(np.abs(force_n) > _STRONGEST_N)
    if strong.size:
        raise SwaytrainerError(
            f"{name}, line {columns.lines[strong[0]]}: a force of"
            f" {force_n[strong[0]] / 1000.0:.3g} kN.",
            "Give the force in newtons.",
        )
    notes = list(columns.notes)
    if not there.all():
        notes.append(f"{int((~there).sum())} rows without a COP were left out, as gaps.")
    f, x, y = force_n[there], x_mm[there], y_mm[there]
    return series_of_moments(time_s[there], f, f * x, f * y, force_known=known, notes=tuple(notes))
