"""Anybody's corner loads from a CSV file, plain or gzipped."""

from __future__ import annotations

import csv
import gzip
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import Array

COLUMNS: Final = ("time_s", "front_left_n", "front_right_n", "rear_left_n", "rear_right_n")
_GZIP: Final = b"\x1f\x8b"


class LoadTable(NamedTuple):
    """Times (s), shape (N,), and loads (N), shape (N, 4), in the order of ``LoadSample``."""

    time_s: Array
    loads_n: Array


def read_load_table(path: Path) -> LoadTable:
    """Read a CSV with the columns of ``COLUMNS``, in any order; others are ignored.

    Raises:
        SwaytrainerError: naming the file, the line and the column, and what to do.
    """
    try:
        data = path.read_bytes()
        if data.startswith(_GZIP):
            data = gzip.decompress(data)
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise SwaytrainerError(f"{path} is not UTF-8 text.", "Save it as CSV, UTF-8.") from None
    except (OSError, EOFError, zlib.error) as error:
        why = getattr(error, "strerror", None) or "it is no sound gzip file"
        raise SwaytrainerError(
            f"Can't read {path}: {why}.", "Check the path and the file."
        ) from None
    return parse_load_table(text, str(path))


def parse_load_table(text: str, name: str) -> LoadTable:
    """``read_load_table`` on text already read; ``name`` is for errors."""
    lines = text.splitlines()
    header = [field.strip() for field in next(_rows(lines[:1], name), [])]
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        raise SwaytrainerError(
            f"{name} is not separated by commas.",
            "Save it with commas between the columns and points in the numbers.",
        )
    missing = [column for column in COLUMNS if column not in header]
    if missing:
        raise SwaytrainerError(
            f"{name} has no column {missing[0]}.",
            "The first line must name " + ", ".join(COLUMNS) + ".",
        )
    for column in COLUMNS:
        if header.count(column) > 1:
            raise SwaytrainerError(f"{name} has two columns {column}.", "Take one of them out.")
    places = [header.index(column) for column in COLUMNS]
    last = max(places)
    rows: list[tuple[float, ...]] = []
    # Not the csv module's own line numbers: quoted line breaks have no place in a table of numbers.
    for line, fields in enumerate(_rows(lines[1:], name), start=2):
        if not fields:
            continue
        if len(fields) <= last:
            raise SwaytrainerError(
                f"{name}, line {line}: {len(fields)} columns, but {last + 1} are needed.",
                "Mend or delete that line; a file cut off in the middle ends like this.",
            )
        try:
            rows.append(tuple(float(fields[place]) for place in places))
        except ValueError:
            bad = next(i for i in range(len(places)) if not _is_number(fields[places[i]]))
            raise SwaytrainerError(
                f"{name}, line {line}, column {COLUMNS[bad]}:"
                f" {fields[places[bad]]!r} is not a number.",
                "Mend that field; numbers have a point, not a comma.",
            ) from None
    if not rows:
        raise SwaytrainerError(f"{name} has no rows.", "Give a file with a recorded trial.")
    table = np.array(rows, dtype=np.float64)
    return LoadTable(table[:, 0], table[:, 1:])


def _rows(lines: list[str], name: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(lines)
    except csv.Error as error:
        raise SwaytrainerError(
            f"{name} is no table of numbers: {error}.", "Give a CSV file with one row a sample."
        ) from None


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
