"""Columns of numbers out of anybody's CSV text: commas, semicolons or tabs, plain or gzipped.

Every message names the file's own line, counted from 1 with the header, as an editor counts.
"""

from __future__ import annotations

import contextlib
import csv
import gzip
import io
import math
import re
import zlib
from collections.abc import Collection, Sequence
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN, Array

TIME: Final = "time_s"
GZIP: Final = b"\x1f\x8b"

#: Comma first: only where it does not find the time are the others tried.
_SEPARATORS: Final = {",": "commas", ";": "semicolons", "\t": "tabs"}
#: What some spreadsheets write above the header to say which separator they used.
_SEPARATOR_LINE: Final = re.compile(r"sep=.\s*", re.IGNORECASE)


class Columns(NamedTuple):
    """Numbers by column, and where each row stood.

    Attributes:
        values: column name → shape (N,).
        lines: shape (N,), the file's line of each row.
        notes: what was unusual about reading it, in sentences.
    """

    values: dict[str, Array]
    lines: NDArray[np.int64]
    notes: tuple[str, ...]


def read_text(path: Path) -> str:
    """The text of a file, unpacked if it is gzipped.

    Raises:
        SwaytrainerError: it can't be read, is cut off, or is no UTF-8.
    """
    try:
        data = path.read_bytes()
        if data.startswith(GZIP):
            data = gzip.decompress(data)
    except (OSError, EOFError, zlib.error) as error:
        why = getattr(error, "strerror", None) or "it is no whole gzip file"
        raise SwaytrainerError(
            f"Can't read {path}: {why}.", "Check the path and the file."
        ) from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise SwaytrainerError(f"{path} is not UTF-8 text.", "Save it as CSV, UTF-8.") from None


def header_of(text: str, name: str) -> list[str]:
    """The column names of a text, without spaces around them.

    >>> header_of("sep=;\\ntime_s; cop_x_mm ;cop_y_mm\\n", "x.csv")
    ['time_s', 'cop_x_mm', 'cop_y_mm']
    """
    return _Table(text, name).header


def parse_columns(
    text: str, name: str, wanted: Sequence[str], may_miss: Collection[str] = ()
) -> Columns:
    """The wanted columns, in any order; others are ignored.

    Args:
        text: of the file.
        name: of the file, for errors.
        wanted: the columns; ``TIME`` must be one of them.
        may_miss: those of them that may be empty or "nan" in a row; they are NaN there.

    Raises:
        SwaytrainerError: naming the file, the line and the column, and what to do: a missing or
            double column, a row of another length, a field that is no finite number, a time that
            does not increase, no rows.

    >>> parse_columns("a;time_s\\n1,5;0\\n2,5;0,01\\n", "x.csv", ["time_s", "a"]).values["a"]
    array([1.5, 2.5])
    """
    table = _Table(text, name)
    places = table.places(wanted)
    rows: list[list[float]] = []
    lines: list[int] = []
    for line, fields in table.rows():
        rows.append(table.numbers([fields[place] for place in places], line, wanted, may_miss))
        lines.append(line)
    if not rows:
        raise SwaytrainerError(f"{name} has no rows.", "Give a file with a recorded trial.")
    numbers = np.array(rows, dtype=np.float64)
    values = {column: numbers[:, i].copy() for i, column in enumerate(wanted)}
    later = np.flatnonzero(np.diff(values[TIME]) <= 0.0)
    if later.size:
        where = lines[later[0] + 1]
        raise SwaytrainerError(
            f"{name}, line {where}: {TIME} does not increase.",
            "Sort the rows by time, and give no time twice.",
        )
    return Columns(values, np.array(lines), table.notes())


class _Table:
    """One text being read."""

    def __init__(self, text: str, name: str) -> None:
        self._name = name
        # Every way to end a line is one here: \\n, \\r\\n and the old \\r alone.
        self._file = io.StringIO(text, newline=None)
        self._before = 0
        first = ""
        for first in self._file:
            self._before += 1
            if first.strip() and not _SEPARATOR_LINE.fullmatch(first):
                break
        self._separator, self.header = self._split(first)
        self._decimal = ""

    def _split(self, first: str) -> tuple[str, list[str]]:
        for separator in _SEPARATORS:
            fields = [f.strip() for f in self._fields(first, separator)]
            if TIME in fields:
                return separator, fields
        return ",", [f.strip() for f in self._fields(first, ",")]

    def _fields(self, line: str, separator: str) -> list[str]:
        try:
            return next(csv.reader([line], delimiter=separator), [])
        except csv.Error as error:
            raise self._no_table(error) from None

    def _no_table(self, error: csv.Error) -> SwaytrainerError:
        return SwaytrainerError(
            f"{self._name} is no table of numbers: {error}.",
            "Give a CSV file with one row a sample.",
        )

    def places(self, wanted: Sequence[str]) -> list[int]:
        missing = [column for column in wanted if column not in self.header]
        if missing:
            raise SwaytrainerError(
                f"{self._name} has no column {missing[0]}.",
                "The first line must name " + ", ".join(wanted) + ".",
            )
        double = [column for column in wanted if self.header.count(column) > 1]
        if double:
            raise SwaytrainerError(
                f"{self._name} has two columns {double[0]}.", "Take one of them out."
            )
        return [self.header.index(column) for column in wanted]

    def rows(self) -> list[tuple[int, list[str]]]:
        """Line and fields of each row that is not blank."""
        reader = csv.reader(self._file, delimiter=self._separator)
        found: list[tuple[int, list[str]]] = []
        width = len(self.header)
        try:
            for fields in reader:
                if not any(field.strip() for field in fields):
                    continue
                line = self._before + reader.line_num
                if len(fields) < width or any(f.strip() for f in fields[width:]):
                    raise self._ragged(line, len(fields))
                found.append((line, fields))
        except csv.Error as error:
            raise self._no_table(error) from None
        return found

    def _ragged(self, line: int, width: int) -> SwaytrainerError:
        remedy = "Mend or delete that line; a file cut off in the middle ends like this."
        if width > len(self.header) and self._separator == ",":
            remedy = (
                "Mend or delete that line. If its numbers have decimal commas, put semicolons"
                " between the columns, in the first line too."
            )
        return SwaytrainerError(
            f"{self._name}, line {line}: {width} columns, but the first line names"
            f" {len(self.header)}.",
            remedy,
        )

    def numbers(
        self, fields: list[str], line: int, columns: Sequence[str], may_miss: Collection[str]
    ) -> list[float]:
        """The numbers of a row."""
        if self._separator == "," and "_" not in "".join(fields):
            # Nearly every row of nearly every file; whatever is odd is looked at field by field.
            with contextlib.suppress(ValueError):
                values = [float(field) for field in fields]
                if math.isfinite(sum(values)):
                    return values
        return [
            self._number(field, line, column, column in may_miss)
            for field, column in zip(fields, columns, strict=True)
        ]

    def _number(self, field: str, line: int, column: str, may_miss: bool) -> float:
        text = field.strip()
        if may_miss and not text:
            return NAN
        mark = "," if self._separator != "," and "," in text else "." if "." in text else ""
        if mark and self._decimal and mark != self._decimal:
            raise SwaytrainerError(
                f"{self._where(line, column)}: {text!r} has a {_mark_name(mark)},"
                f" earlier numbers have a {_mark_name(self._decimal)}.",
                "Save it with one kind of decimal mark, and none between thousands.",
            )
        self._decimal = self._decimal or mark
        try:
            if "_" in text:  # Python reads 1_000 as a number; nobody's instrument writes that
                raise ValueError
            value = float(text.replace(",", ".") if mark == "," else text)
        except ValueError:
            raise SwaytrainerError(
                f"{self._where(line, column)}: {field!r} is not a number.",
                "Mend that field; a number has no unit, and nothing between its thousands.",
            ) from None
        if math.isfinite(value) or (may_miss and math.isnan(value)):
            return value
        raise SwaytrainerError(
            f"{self._where(line, column)}: {field!r} is not a finite number.",
            "Leave rows out whose values are unknown: a gap is seen by its times.",
        )

    def _where(self, line: int, column: str) -> str:
        return f"{self._name}, line {line}, column {column}"

    def notes(self) -> tuple[str, ...]:
        if self._separator == ",":
            return ()
        mark = " and decimal commas" if self._decimal == "," else ""
        return (f"Read with {_SEPARATORS[self._separator]} between the columns{mark}.",)


def _mark_name(mark: str) -> str:
    return "decimal comma" if mark == "," else "point"
