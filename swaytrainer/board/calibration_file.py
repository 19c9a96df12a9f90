"""A calibration's file: one text file a board and date.

A board with one plate (format 1, or 2 with ``channels`` where two cells' cables are swapped): see
``to_toml``. One with two plates (format 3): ``board_id``, ``plates_apart_mm``, and a table ``left``
and ``right``, each with what the file of one plate has.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from swaytrainer.board.calibration import (
    AS_BUILT,
    CORNERS,
    NO_CROSS_TALK,
    Calibration,
    Channels,
    Uncertainty,
    Vector4,
)
from swaytrainer.board.pair import BoardCalibration, PairCalibration, Plate
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.toml_text import finite_number, parse_toml

#: Format 2 is 1 with ``channels``; it is written only where these are not as built.
FORMATS: Final = (1, 2)
PAIR_FORMAT: Final = 3
_REMEDY: Final = "Restore the file from the folder of older calibrations, or calibrate again."


_HEADING: Final = (
    "# How this board's raw counts become newtons. Keep old files: recordings name their own."
)


def to_toml(calibration: BoardCalibration) -> str:
    """The calibration as the text of its file."""
    c = calibration
    if isinstance(c, Calibration):
        lines = [
            _HEADING,
            f"format = {1 if c.channels == AS_BUILT else 2}",
            f'board_id = "{c.board_id}"',
            *_plate_lines(c),
        ]
    else:
        lines = [
            _HEADING,
            f"format = {PAIR_FORMAT}",
            f'board_id = "{c.board_id}"',
            f"plates_apart_mm = {c.apart_mm!r}",
        ]
        for which in Plate:
            lines += ["", f"[{which}]"]
            lines += [
                f"[{which}.{line[1:]}" if line.startswith("[") else line
                for line in _plate_lines(c.plate(which))
            ]
    return "\n".join(lines) + "\n"


def _plate_lines(c: Calibration) -> list[str]:
    """All that one plate's calibration says, its board's id excepted."""
    lines = [
        f"made = {c.made.isoformat()}",
        f"load_threshold_n = {c.load_threshold_n!r}",
        f"load_limit_kg = {c.load_limit_kg!r}",
        f"heel_line_mm = {c.heel_line_mm!r}",
    ]
    if c.channels != AS_BUILT:
        lines.append(f"channels = {list(c.channels)!r}")
    for field in ("residual_n", "residual_mm", "gravity_m_s2"):
        if not math.isnan(value := getattr(c, field)):
            lines.append(f"{field} = {value!r}")
    if c.cross_talk != NO_CROSS_TALK:
        lines.append("cross_talk = [")
        lines += ["    [" + ", ".join(repr(v) for v in row) + "]," for row in c.cross_talk]
        lines.append("]")
    for i, corner in enumerate(CORNERS):
        x, y = c.places[i]
        lines += [
            "",
            f"[{corner}]",
            f"gain_n_per_count = {c.gain_n_per_count[i]!r}",
            f"offset_counts = {c.offset_counts[i]!r}",
            f"x_mm = {x!r}",
            f"y_mm = {y!r}",
        ]
    if c.uncertainty is not None:
        lines += ["", *_uncertainty_lines(c)]
    return lines


def _uncertainty_lines(c: Calibration) -> list[str]:
    u = c.uncertainty
    assert u is not None
    middle = u.expanded(c.places, 500.0, 0.0, 0.0)
    return [
        f"# 500 N in the middle: ±{middle.force_n:.2g} N and, across and along,"
        f" ±{middle.x_mm:.2g} and ±{middle.y_mm:.2g} mm (95 %).",
        "[uncertainty]",
        f"zero_n = {u.zero_n!r}",
        f"noise_n = {u.noise_n!r}",
        "# Covariance of the error of (F, Fx/100 mm, Fy/100 mm), lower triangle: see Uncertainty.",
        "covariance = [",
        *("    [" + ", ".join(repr(v) for v in row) + "]," for row in u.covariance),
        "]",
    ]


def from_toml(text: str, name: str) -> BoardCalibration:
    """Read and validate a calibration.

    Args:
        text: the file's text.
        name: how to call the file in an error.

    Raises:
        SwaytrainerError: it is no TOML, lacks a field, or holds values that no board can have.
    """
    table = parse_toml(text, f"Calibration {name}", _REMEDY)
    reader = _Reader(table, name)
    version = reader.number("format")
    if version == PAIR_FORMAT:
        return _pair(table, reader, name)
    if version not in FORMATS:
        raise SwaytrainerError(
            f"Calibration {name} has format {version:g}; this program reads format"
            f" {FORMATS[0]} to {PAIR_FORMAT}.",
            "Update swaytrainer, or calibrate again with this version.",
        )
    return _plate(table, reader, reader.board_id())


def _pair(table: dict[str, Any], reader: _Reader, name: str) -> PairCalibration:
    board_id = reader.board_id()
    plates = []
    for which in Plate:
        own = table.get(which)
        if not isinstance(own, dict):
            raise reader.bad(which, "must be a table: the calibration of that plate")
        plates.append(_plate(own, _Reader(own, f"{name}, {which} plate"), board_id))
    return PairCalibration(plates[0], plates[1], reader.number("plates_apart_mm"))


def _plate(table: dict[str, Any], reader: _Reader, board_id: str) -> Calibration:
    made = table.get("made")
    if not isinstance(made, datetime) or made.tzinfo is None:
        raise reader.bad("made", "must be a date and time with a time zone")
    calibration = Calibration(
        board_id=board_id,
        made=made,
        gain_n_per_count=reader.corners("gain_n_per_count"),
        offset_counts=reader.corners("offset_counts"),
        places=CellPlaces(*zip(reader.corners("x_mm"), reader.corners("y_mm"), strict=True)),
        load_threshold_n=reader.number("load_threshold_n", 40.0),
        load_limit_kg=reader.number("load_limit_kg", 120.0),
        heel_line_mm=reader.number("heel_line_mm", -120.0),
        residual_n=reader.number("residual_n", math.nan),
        residual_mm=reader.number("residual_mm", math.nan),
        gravity_m_s2=reader.number("gravity_m_s2", math.nan),
        uncertainty=reader.uncertainty(),
        channels=reader.channels(),
    )
    if "cross_talk" in table:
        calibration = replace(calibration, cross_talk=reader.matrix("cross_talk"))
    _check(calibration, reader)
    return calibration


def _is_board_id(text: str) -> bool:
    return len(text) == 16 and all(c in "0123456789abcdef" for c in text)


def _check(c: Calibration, reader: _Reader) -> None:
    for corner, gain in zip(CORNERS, c.gain_n_per_count, strict=True):
        # Full scale of a 24-bit converter: from a kitchen scale's cell to a weighbridge's.
        full_scale_n = abs(gain) * 2**23
        if not 50.0 <= full_scale_n <= 100_000.0:
            raise reader.bad(
                f"{corner}.gain_n_per_count",
                f"gives a full scale of {full_scale_n:.3g} N; a load cell has 50 to 100,000 N",
            )
    for corner, offset in zip(CORNERS, c.offset_counts, strict=True):
        if abs(offset) >= 2**31:
            raise reader.bad(f"{corner}.offset_counts", "is beyond any count a board can send")
    signs = ((-1, 1), (1, 1), (-1, -1), (1, -1))
    for corner, place, sign in zip(CORNERS, c.places, signs, strict=True):
        for axis, value, want in zip("xy", place, sign, strict=True):
            if not 30.0 <= value * want <= 1000.0:
                side = "positive" if want > 0 else "negative"
                raise reader.bad(
                    f"{corner}.{axis}_mm", f"is {value:g}, but must be {side} and 30 to 1,000 mm"
                )
    for i, row in enumerate(c.cross_talk):
        for j, value in enumerate(row):
            if abs(value - (i == j)) > 0.3:
                raise reader.bad("cross_talk", "is more than 0.3 away from the identity")
    for field, low, high in (
        ("load_threshold_n", 5.0, 200.0),
        ("load_limit_kg", 20.0, 500.0),
        ("heel_line_mm", -400.0, 100.0),
    ):
        if not low <= getattr(c, field) <= high:
            raise reader.bad(field, f"must lie between {low:g} and {high:g}")


class _Reader:
    """Takes numbers out of a parsed file and says clearly what is missing or wrong."""

    def __init__(self, table: dict[str, Any], name: str) -> None:
        self._table = table
        self._name = name

    def bad(self, field: str, why: str) -> SwaytrainerError:
        return SwaytrainerError(f"Calibration {self._name}: {field} {why}.", _REMEDY)

    def board_id(self) -> str:
        board_id = self._table.get("board_id")
        if not isinstance(board_id, str) or not _is_board_id(board_id):
            raise self.bad("board_id", "must be 16 hexadecimal digits in quotes")
        return board_id

    def _finite(self, value: object, field: str) -> float:
        number = finite_number(value)
        if number is None:
            raise self.bad(field, "must be a number")
        return number

    def number(self, field: str, default: float | None = None) -> float:
        if field not in self._table:
            if default is None:
                raise self.bad(field, "is missing")
            return default
        return self._finite(self._table[field], field)

    def corners(self, field: str) -> Vector4:
        values = []
        for corner in CORNERS:
            table = self._table.get(corner)
            if not isinstance(table, dict) or field not in table:
                raise self.bad(f"{corner}.{field}", "is missing")
            values.append(self._finite(table[field], f"{corner}.{field}"))
        a, b, c, d = values
        return (a, b, c, d)

    def matrix(self, field: str) -> tuple[Vector4, ...]:
        rows = self._table[field]
        if (
            not isinstance(rows, list)
            or [len(r) if isinstance(r, list) else 0 for r in rows] != [4] * 4
        ):
            raise self.bad(field, "must be four rows of four numbers")
        return tuple(
            (
                self._finite(r[0], field),
                self._finite(r[1], field),
                self._finite(r[2], field),
                self._finite(r[3], field),
            )
            for r in rows
        )

    def channels(self) -> Channels:
        value = self._table.get("channels", list(AS_BUILT))
        if not isinstance(value, list) or sorted(map(repr, value)) != ["0", "1", "2", "3"]:
            raise self.bad("channels", "must be 0, 1, 2 and 3 in some order")
        a, b, c, d = value
        return AS_BUILT if (a, b, c, d) == AS_BUILT else (a, b, c, d)

    def uncertainty(self) -> Uncertainty | None:
        table = self._table.get("uncertainty")
        if table is None:
            return None
        if not isinstance(table, dict):
            raise self.bad("uncertainty", "must be a table")
        rows = table.get("covariance")
        if not isinstance(rows, list) or [
            len(r) if isinstance(r, list) else 0 for r in rows
        ] != list(range(1, 10)):
            raise self.bad("uncertainty.covariance", "must be nine rows of one to nine numbers")
        covariance = tuple(
            tuple(self._finite(v, "uncertainty.covariance") for v in row) for row in rows
        )
        if min(row[-1] for row in covariance) < 0:
            raise self.bad("uncertainty.covariance", "has a negative variance")
        zero_n, noise_n = (
            self._finite(table.get(field), f"uncertainty.{field}")
            for field in ("zero_n", "noise_n")
        )
        return Uncertainty(covariance, zero_n, noise_n)
