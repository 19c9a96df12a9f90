"""What a board shows of itself, as numbers and words: for a table in a terminal or a screen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.board import wire
from swaytrainer.board.calibration import Channels
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN
from swaytrainer.sway.noise import LEAST_S, cop_noise_mm, noise_floor

#: The noise floor of an empty board is told for a body of this mass, kg.
BODY_KG: Final = 50.0
#: A percentile of fewer values than this says nothing.
LEAST_VALUES: Final = 20
#: By so much a cell's counts may creep within three seconds under a dead thing: some 0.3 N of the
#: build's cells (our own limit).
_CREEP_COUNTS: Final = 640.0
#: The part of hardware/DELAY.md that no running program can see, and why.
NOT_MEASURED: Final = (
    "the converter's own filter, which lies before the stamp",
    "the constant part of the USB chip's latency: only what differs shows, as jitter",
    "drawing and the screen itself",
)


class CellWord(StrEnum):
    """How one cell is, worst first."""

    SILENT = "no signal"
    MISSING = "no converter answers"
    SATURATED = "saturated"
    STUCK = "stuck"
    FINE = "fine"


#: The status bit of the first cell, for what a board says of each.
CELL_BITS: Final = ((CellWord.MISSING, 0), (CellWord.SATURATED, 4), (CellWord.STUCK, 8))


class CellState(NamedTuple):
    """One cell, by the corner that it bears.

    Attributes:
        name: of the corner.
        word: how it is, or was within the last two seconds.
        counts: mean of the last second.
        load_n: the same in newtons, tared; NaN without a calibration or while a cell is missing.
        noise_counts, noise_n: rms of one sample, NaN while something moves on the board.
    """

    name: str
    word: CellWord
    counts: float = NAN
    load_n: float = NAN
    noise_counts: float = NAN
    noise_n: float = NAN


class Delay(NamedTuple):
    """Median and 99th percentile, ms; NaN of too few values."""

    median_ms: float = NAN
    p99_ms: float = NAN


class Floor(NamedTuple):
    """The noise floor of a stretch of an empty board, or of one under a dead weight.

    Attributes:
        speed_mm_s: of the centre of pressure that noise alone makes, zero phase, 10 Hz; NaN where
            it was not measured, and ``why`` says why.
        force_n: what it is scaled to: the dead weight on the board, or ``BODY_KG``.
        cell_noise_n: rms of one sample of a cell.
        cop_noise_mm: rms of the unfiltered centre of pressure.
        dead: a dead weight lay on the board.
        age_s: so long ago.
        why: a sentence, if it was not measured now.
    """

    speed_mm_s: float = NAN
    force_n: float = NAN
    cell_noise_n: float = NAN
    cop_noise_mm: float = NAN
    dead: bool = False
    age_s: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True)
class BoardReport:
    """A snapshot. NaN where there is nothing to measure.

    Attributes:
        connected: samples come.
        silent_s: for so long nothing came.
        cells: four, in the order of ``CORNERS``; with two plates eight, the left plate's first.
        force_n, mass_kg: on the board.
        x_mm, y_mm: the centre of pressure (causal 10 Hz).
        twist_n, twist_percent: the twist, and its share of the force.
        rate_hz: samples a second by the board's own clock, lost ones counted.
        nominal_hz: as announced.
        samples, lost, corrupt, unknown, late, restarts: counters.
        lost_percent: of all frames.
        floor: the noise floor.
        drift_ppm: by how much the host's clock outruns the board's.
        jitter: how late samples arrive, against the board's clock and the earliest arrivals.
        queue: from the arrival of bytes until the program has worked them off.
        reads_hz, samples_per_read, most_per_read: into how many pieces the stream arrives.
        warnings: sentences, worst first.
    """

    connected: bool
    silent_s: float
    cells: tuple[CellState, ...]
    force_n: float
    mass_kg: float
    x_mm: float
    y_mm: float
    twist_n: float
    twist_percent: float
    rate_hz: float
    nominal_hz: float
    samples: int
    lost: int
    lost_percent: float
    corrupt: int
    unknown: int
    late: int
    restarts: int
    floor: Floor
    drift_ppm: float
    jitter: Delay
    queue: Delay
    reads_hz: float
    samples_per_read: float
    most_per_read: int
    warnings: tuple[str, ...]


def delay_of(values_s: Sequence[float]) -> Delay:
    """Median and p99 of delays in seconds.

    >>> delay_of([0.001] * 99 + [0.5])
    Delay(median_ms=1.0, p99_ms=5.99...)
    >>> delay_of([0.001])
    Delay(median_ms=nan, p99_ms=nan)
    """
    if len(values_s) < LEAST_VALUES:
        return Delay()
    median, p99 = np.percentile(values_s, [50.0, 99.0])
    return Delay(float(median) * 1e3, float(p99) * 1e3)


def status_of_corners(status: int, channels: Channels) -> int:
    """A status whose bits stand for corners: a board's own stand for its inputs.

    They differ where a calibration knows that two cells' cables are swapped.

    >>> hex(status_of_corners(0x2021, (1, 0, 2, 3)))
    '0x2012'
    """
    kept = status & ~(wire.STATUS_MISSING | wire.STATUS_SATURATED | wire.STATUS_STUCK)
    for corner, channel in enumerate(channels):
        for _, shift in CELL_BITS:
            kept |= (status >> (shift + channel) & 1) << (shift + corner)
    return kept


def still(rows: Sequence[tuple[float, ...]]) -> bool:
    """Nothing moves on the board: it is empty, or something dead lies on it.

    A dead thing's loads are as steady as an empty board's. A body's are not, cell by cell, even
    where their sum is. White noise of a few hundred samples spans some six times its median step.

    Args:
        rows: time (s) and all counts of each sample, without a gap; too few are not still.
    """
    if not rows or rows[-1][0] - rows[0][0] < LEAST_S:
        return False
    counts = np.array(rows)[:, 1:]
    steps = np.median(np.abs(np.diff(counts, axis=0)), axis=0)
    return bool((np.ptp(counts, axis=0) <= 12.0 * steps + _CREEP_COUNTS).all())


def floor_of(rows: Sequence[tuple[float, ...]], calibration: BoardCalibration) -> Floor:
    """The noise floor of what was heard.

    Args:
        rows: time (s) and all counts of each sample, without a gap.
        calibration: the board's.
    """
    if not rows or rows[-1][0] - rows[0][0] < LEAST_S:
        return Floor(why="Too little was heard without a gap: clear the board for three seconds.")
    if not still(rows):
        return Floor(why="Something moves on the board: clear it for three seconds.")
    loads = np.array([calibration.loads(row[1:]) for row in rows])
    mean_n = float(loads.sum(axis=1).mean())
    dead = mean_n > calibration.load_threshold_n
    time_s = np.array([row[0] for row in rows])
    under_n = mean_n if dead else BODY_KG * STANDARD_GRAVITY
    try:
        floor = noise_floor(time_s, loads, calibration.places, under_n)
    except SwaytrainerError as error:
        return Floor(why=error.what)
    half_mm = max(abs(p[0]) for p in calibration.places)
    return Floor(
        floor.mean_speed_mm_s,
        under_n,
        floor.cell_noise_n,
        cop_noise_mm(floor.cell_noise_n, half_mm, under_n),
        dead,
    )
