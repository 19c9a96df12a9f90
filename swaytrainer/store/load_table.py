"""Anybody's corner loads from a CSV file."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np

from swaytrainer.store.csv_columns import TIME, parse_columns, read_text
from swaytrainer.store.plate_series import PlateSeries
from swaytrainer.sway.cop import CellPlaces

LOADS: Final = ("front_left_n", "front_right_n", "rear_left_n", "rear_right_n")
COLUMNS: Final = (TIME, *LOADS)


def read_load_table(path: Path, places: CellPlaces) -> PlateSeries:
    """Read a CSV, plain or gzipped, with the columns of ``COLUMNS``; others are ignored.

    Raises:
        SwaytrainerError: naming the file, the line and the column, and what to do.
    """
    return parse_load_table(read_text(path), str(path), places)


def parse_load_table(text: str, name: str, places: CellPlaces) -> PlateSeries:
    """``read_load_table`` on text already read; ``name`` is for errors."""
    columns = parse_columns(text, name, COLUMNS)
    loads_n = np.column_stack([columns.values[column] for column in LOADS])
    return PlateSeries(columns.values[TIME], loads_n, places, notes=columns.notes)
