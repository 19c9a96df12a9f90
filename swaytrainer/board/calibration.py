"""A board's calibration: from raw counts to newtons, and where the cells really are.

One text file a board and date; see ``to_toml`` for its layout.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.toml_text import finite_number, parse_toml

CORNERS: Final = ("front_left", "front_right", "rear_left", "rear_right")
#: Format 2 is 1 with ``channels``; it is written only where these are not as built.
FORMATS: Final = (1, 2)

Vector4 = tuple[float, float, float, float]
_IDENTITY: Final[tuple[Vector4, ...]] = (
    (1.0, 0.0, 0.0, 0.0),
    (0.0, 1.0, 0.0, 0.0),
    (0.0, 0.0, 1.0, 0.0),
    (0.0, 0.0, 0.0, 1.0),
)
Channels = tuple[int, int, int, int]
AS_BUILT: Final[Channels] = (0, 1, 2, 3)
_REMEDY: Final = "Restore the file from the folder of older calibrations, or calibrate again."


#: Moments are divided by this, so that force and moments are all newtons of like size.
LEVER_MM: Final = 100.0
#: 95 % of a normal distribution lie within ± this many standard deviations (GUM, JCGM 100:2008,
#: table G.1).
COVERAGE_95: Final = 1.96


class Expanded(NamedTuple):
    """By how much force (N) and COP (mm) may be off, either way, with a probability of 95 %."""

    force_n: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """How well a calibration knows its board, by the GUM (JCGM 100:2008).

    What a calibrated board says is linear in what stands on it: with
    w = (F, F·x/100 mm, F·y/100 mm) it shows w + E·w, where E (3×3) is the calibration's unknown
    error. Kept is the covariance of E's nine elements, row after row, so that force and COP have
    an uncertainty at any spot and under any load: u² = c·V·c with the sensitivities c of
    ``expanded`` (GUM 5.2.2, correlated inputs). To it comes what is not the calibration's: each
    cell's zero after a tare.

    Attributes:
        covariance: V, the lower triangle, rows of 1 to 9 numbers, dimensionless.
        zero_n: standard uncertainty of one cell's zero after a tare, N.
        noise_n: measured rms noise of one sample of one cell, N; not in the uncertainty, which is
            that of a mean.
    """

    covariance: tuple[tuple[float, ...], ...]
    zero_n: float
    noise_n: float

    def expanded(self, places: CellPlaces, force_n: float, x_mm: float, y_mm: float) -> Expanded:
        """Expanded uncertainty (95 %) of the mean force and COP of a load at one spot.

        Args:
            places: where the cells are, for what a wrong zero does to the COP.
            force_n: above zero.
            x_mm, y_mm: where it presses.
        """
        spot = (1.0, x_mm / LEVER_MM, y_mm / LEVER_MM)
        nought = (0.0, 0.0, 0.0)
        # δF/F = E₀·spot; δx = 100 mm·(E₁·spot) - x·(E₀·spot), because x = 100 mm·w₁/w₀.
        force = (*spot, *nought, *nought)
        across = (*(-x_mm * s for s in spot), *(LEVER_MM * s for s in spot), *nought)
        along = (*(-y_mm * s for s in spot), *nought, *(LEVER_MM * s for s in spot))
        zero = (self.zero_n / force_n) ** 2
        zeros = (
            zero * 4.0,
            zero * math.fsum((p[0] - x_mm) ** 2 for p in places),
            zero * math.fsum((p[1] - y_mm) ** 2 for p in places),
        )
        u_force, u_x, u_y = (
            COVERAGE_95 * math.sqrt(max(0.0, self._variance(c)) + z)
            for c, z in zip((force, across, along), zeros, strict=True)
        )
        return Expanded(force_n * u_force, u_x, u_y)

    def _variance(self, c: tuple[float, ...]) -> float:
        return math.fsum(
            (1.0 if i == j else 2.0) * c[i] * c[j] * value
            for i, row in enumerate(self.covariance)
            for j, value in enumerate(row)
        )


@dataclass(frozen=True, slots=True)
class Calibration:
    """How one board's counts become loads.

    ``load_i = Σ_j cross_talk[i][j] · gain_j · (count_channels[j] - offset_j)``

    Attributes:
        board_id: 16 hex digits, as in the board's hello.
        made: when, with a time zone.
        gain_n_per_count: one a cell, order of ``CORNERS``; negative for a cell wired the other
            way round.
        offset_counts: the empty board's counts when it was calibrated.
        places: where the cells are, mm.
        cross_talk: 4×4, the identity if it was not measured.
        channels: which of the board's four counts is each corner's; 0 to 3 unless two cells'
            cables are swapped.
        load_threshold_n: below this total there is no centre of pressure.
        load_limit_kg: what may stand on it.
        heel_line_mm: y of the line that the backs of the heels stand on.
        residual_n, residual_mm: RMS residuals of the fit, of force and of place; NaN if unknown.
        gravity_m_s2: what the masses were multiplied by, NaN if unknown.
        uncertainty: how well all this is known, None for a calibration that doesn't say.
    """

    board_id: str
    made: datetime
    gain_n_per_count: Vector4
    offset_counts: Vector4
    places: CellPlaces
    cross_talk: tuple[Vector4, ...] = _IDENTITY
    load_threshold_n: float = 40.0
    load_limit_kg: float = 120.0
    heel_line_mm: float = -120.0
    residual_n: float = math.nan
    residual_mm: float = math.nan
    gravity_m_s2: float = math.nan
    uncertainty: Uncertainty | None = None
    channels: Channels = AS_BUILT

    def expanded(self, force_n: float, x_mm: float, y_mm: float) -> Expanded | None:
        """What force and COP may be off by at one spot (95 %), None if it is not known."""
        if self.uncertainty is None:
            return None
        return self.uncertainty.expanded(self.places, force_n, x_mm, y_mm)

    def loads(self, counts: Sequence[float], tare_n: Vector4 = (0.0, 0.0, 0.0, 0.0)) -> Vector4:
        """Newtons at the four cells, order of ``CORNERS``, less the tare.

        >>> made = datetime.fromisoformat("2026-01-31T10:00:00+00:00")
        >>> plate = Calibration("00000000000000a1", made, (0.01,) * 4, (1000.0,) * 4,
        ...                     CellPlaces.rectangle(200, 150))
        >>> plate.loads((11000, 1000, 1000, 1000))
        (100.0, 0.0, 0.0, 0.0)
        """
        c0, c1, c2, c3 = counts
        if self.channels is not AS_BUILT:
            c0, c1, c2, c3 = (counts[n] for n in self.channels)
        g0, g1, g2, g3 = self.gain_n_per_count
        o0, o1, o2, o3 = self.offset_counts
        t0, t1, t2, t3 = tare_n
        a, b, c, d = g0 * (c0 - o0), g1 * (c1 - o1), g2 * (c2 - o2), g3 * (c3 - o3)
        if self.cross_talk is not _IDENTITY:
            a, b, c, d = _times(self.cross_talk, (a, b, c, d))
        return (a - t0, b - t1, c - t2, d - t3)

    def for_board(self, board_id: str) -> Calibration:
        """Itself, if it belongs to that board.

        Raises:
            SwaytrainerError: it is another board's.
        """
        if board_id != self.board_id:
            raise SwaytrainerError(
                f"This calibration is of board {self.board_id}, but board {board_id} is connected.",
                "Connect the right board, or calibrate this one with 'swaytrainer calibrate'.",
            )
        return self


def _times(matrix: tuple[Vector4, ...], w: Vector4) -> Vector4:
    a, b, c, d = (row[0] * w[0] + row[1] * w[1] + row[2] * w[2] + row[3] * w[3] for row in matrix)
    return (a, b, c, d)


def to_toml(calibration: Calibration) -> str:
    """The calibration as the text of its file."""
    c = calibration
    lines = [
        "# How this board's raw counts become newtons. Keep old files: recordings name their own.",
        f"format = {1 if c.channels == AS_BUILT else 2}",
        f'board_id = "{c.board_id}"',
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
    if c.cross_talk != _IDENTITY:
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
    return "\n".join(lines) + "\n"


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


def from_toml(text: str, name: str) -> Calibration:
    """Read and validate a calibration.

    Args:
        text: the file's text.
        name: how to call the file in an error.

    Raises:
        SwaytrainerError: it is no TOML, lacks a field, or holds values that no board can have.
    """
    table = parse_toml(text, f"Calibration {name}", _REMEDY)
    reader = _Reader(table, name)
    if (version := reader.number("format")) not in FORMATS:
        raise SwaytrainerError(
            f"Calibration {name} has format {version:g}; this program reads format"
            f" {FORMATS[0]} to {FORMATS[-1]}.",
            "Update swaytrainer, or calibrate again with this version.",
        )
    made = table.get("made")
    if not isinstance(made, datetime) or made.tzinfo is None:
        raise reader.bad("made", "must be a date and time with a time zone")
    board_id = table.get("board_id")
    if not isinstance(board_id, str) or not _is_board_id(board_id):
        raise reader.bad("board_id", "must be 16 hexadecimal digits in quotes")
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
