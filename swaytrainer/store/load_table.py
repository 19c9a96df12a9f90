"""Anybody's corner loads from a CSV file."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from swaytrainer.store.csv_columns import TIME, header_of, parse_columns, read_text
from swaytrainer.store.plate_series import PlateSeries
from swaytrainer.sway.cop import CellPlaces

LOADS: Final = ("front_left_n", "front_right_n", "rear_left_n", "rear_right_n")
COLUMNS: Final = (TIME, *LOADS)
#: May be there: the plate's upward acceleration, empty in rows without a reading.
ACCELERATION: Final = "plate_acceleration_m_s2"


def read_load_table(path: Path, places: CellPlaces) -> PlateSeries:
    """Read a CSV, plain or gzipped, with the columns of ``COLUMNS`` and perhaps ``ACCELERATION``.

    Others are ignored.

    Raises:
        SwaytrainerError: naming the file, the line and the column, and what to do.
    """
    return parse_load_table(read_text(path), str(path), places)


def parse_load_table(text: str, name: str, places: CellPlaces) -> PlateSeries:
    """``read_load_table`` on text already read; ``name`` is for errors."""
    felt = ACCELERATION in header_of(text, name)
    wanted = (*COLUMNS, ACCELERATION) if felt else COLUMNS
    columns = parse_columns(text, name, wanted, may_miss=(ACCELERATION,))
    time_s = columns.values[TIME]
    loads_n = np.column_stack([columns.values[column] for column in LOADS])
    acceleration = None
    if felt:
        up = columns.values[ACCELERATION]
        there = np.isfinite(up)
        acceleration = (time_s[there], up[there])
    return PlateSeries(time_s, loads_n, places, notes=columns.notes, acceleration=acceleration)
