"""A simulated board: loads in newtons become the bytes of the wire, with a real board's faults.

The four cells, their gains, offsets and places are drawn from the seed, so a simulated board needs
a calibration as much as a real one. Its figures are ours, not a measured board's.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from random import Random
from typing import Final, NamedTuple

from swaytrainer.board import wire
from swaytrainer.board.calibration import Calibration
from swaytrainer.simulate.fault import Ailment, Fault
from swaytrainer.sway.cop import CellPlaces

Loads = tuple[float, float, float, float]
_FULL: Final = 2**23
#: 200 kg cells, 2 mV/V at 5 V, read at a gain of 128 (±20 mV): newtons a count.
_GAIN_N: Final = 200 * 9.80665 / (0.010 / 0.020 * _FULL)
#: 90 nV rms of the converter at 80 samples a second is this many counts (hardware/WIRE.md).
_NOISE_COUNTS: Final = 90e-9 / 0.020 * _FULL


@dataclass(frozen=True, slots=True)
class BoardMake:
    """How a simulated board was built, and what is wrong with it.

    Attributes:
        half_width_mm, half_depth_mm: the cells stand at (±, ±) these.
        rate_hz: nominal sample rate.
        noise_counts: rms noise of one count.
        gain_spread, offset_counts: relative spread of the gains, spread of the offsets.
        clock_ppm: by how much the board's clock runs fast.
        lose_share: probability that a frame is lost on the line.
        flip_share: probability that one bit of a frame is flipped.
        dead_cell: a cell (0-3) without converter, or None.
        cell_place_mm: rms of how far each cell lies beside its drawing, along each axis.
        cross_talk: rms share of another cell's load that a cell hears.
        drift_n: rms of how far a cell's zero goes while it warms up (time constant ``WARM_UP_S``).
    """

    half_width_mm: float = 220.0
    half_depth_mm: float = 170.0
    rate_hz: float = 80.0
    noise_counts: float = _NOISE_COUNTS
    gain_spread: float = 0.04
    offset_counts: float = 40_000.0
    clock_ppm: float = 0.0
    lose_share: float = 0.0
    flip_share: float = 0.0
    dead_cell: int | None = None
    cell_place_mm: float = 0.0
    cross_talk: float = 0.0
    drift_n: float = 0.0


#: A decent home build: what the tests' figures for calibration and acceptance are of.
DECENT: Final = BoardMake(cell_place_mm=1.5, cross_talk=0.005, drift_n=0.3)
#: A board's zeros settle with this time constant (our own guess).
WARM_UP_S: Final = 300.0


class Observed(NamedTuple):
    """One sample before it is encoded: board time (s), status bits, four counts."""

    time_s: float
    status: int
    counts: tuple[int, int, int, int]


class SimulatedBoard:
    """Encodes loads sample by sample; the same seed gives the same bytes.

    Args:
        make: how it was built.
        seed: of gains, offsets, noise and faults; also the last digits of its board id.
    """

    def __init__(self, make: BoardMake, seed: int) -> None:
        self.make = make
        self.seed = seed
        self.board_id = f"5157b0a2{seed & 0xFFFFFFFF:08x}"
        rng = Random(f"board {seed}")
        self._rng = rng
        self._gain = [_GAIN_N * (1 + rng.uniform(-1, 1) * make.gain_spread) for _ in range(4)]
        self._offset = [rng.uniform(-1, 1) * make.offset_counts for _ in range(4)]
        self._sequence = 0
        self._samples = 0
        self._waited_s = 0.0
        # Another source of chance: what was built before these came stays as it was.
        build = Random(f"build {seed}")
        self._beside = [
            (build.gauss(0, make.cell_place_mm), build.gauss(0, make.cell_place_mm))
            for _ in range(4)
        ]
        self._talk = [
            [1.0 if i == j else build.gauss(0, make.cross_talk) for j in range(4)] for i in range(4)
        ]
        self._warm_n = [build.gauss(0, make.drift_n) for _ in range(4)]
        self._spread = _spread(self.places) if make.cell_place_mm else None
        self._ailment: Ailment | None = None

    @property
    def drawn_places(self) -> CellPlaces:
        """Where its cells should be."""
        return CellPlaces.rectangle(self.make.half_width_mm, self.make.half_depth_mm)

    @property
    def places(self) -> CellPlaces:
        """Where its cells are."""
        return CellPlaces(
            *(
                (x + dx, y + dy)
                for (x, y), (dx, dy) in zip(self.drawn_places, self._beside, strict=True)
            )
        )

    def afflict(self, fault: Fault | None) -> None:
        """From now on something is wrong with it (None: all is well again)."""
        self._ailment = None if fault is None else Ailment(fault, self.seed)

    @property
    def announced_id(self) -> str:
        """What it calls itself in its hello."""
        return self._ailment.board_id(self.board_id) if self._ailment else self.board_id

    def wait(self, seconds: float) -> None:
        """Let time pass without a sample."""
        self._waited_s += seconds

    def true_calibration(self) -> Calibration:
        """The calibration that a perfect calibrator would find (of the board before any fault)."""
        g, o = self._gain, self._offset
        talk = _inverse(self._talk)
        calibration = Calibration(
            self.board_id,
            datetime(2026, 1, 1, tzinfo=UTC),
            (g[0], g[1], g[2], g[3]),
            (o[0], o[1], o[2], o[3]),
            self.places,
        )
        if not self.make.cross_talk:
            return calibration
        # loads = talk⁻¹·gain·counts; a calibration's gains come before its cross-talk.
        return replace(calibration, cross_talk=talk)

    def _next_sequence(self) -> int:
        sequence, self._sequence = self._sequence, (self._sequence + 1) & 0xFFFF
        return sequence

    def hello(self) -> bytes:
        """A hello frame."""
        return wire.encode_hello(
            wire.Hello(
                self._next_sequence(),
                wire.WIRE_MAJOR,
                wire.WIRE_MINOR,
                (0, 1, 0),
                self.announced_id,
                self.make.rate_hz,
                4,
                24,
                wire.FEATURE_SIMULTANEOUS,
            )
        )

    def _cells(self, loads_n: Loads) -> list[float]:
        """What each cell makes of it, N: true places, twist, cross-talk, warm-up."""
        loads = list(loads_n)
        if self._spread is not None:
            loads = self._level(loads_n)
        if self._ailment is not None:
            loads = self._ailment.press(loads)
        if self.make.cross_talk:
            loads = [
                math.fsum(t * w for t, w in zip(row, loads, strict=True)) for row in self._talk
            ]
        if self.make.drift_n:
            share = 1.0 - math.exp(-self.elapsed_s / WARM_UP_S)
            loads = [load + share * warm for load, warm in zip(loads, self._warm_n, strict=True)]
        return loads

    def _level(self, loads_n: Loads) -> list[float]:
        """The same force, moments and twist on cells that lie beside their drawing."""
        assert self._spread is not None
        fl, fr, rl, rr = loads_n
        force = fl + fr + rl + rr
        moment_x = (fr + rr - fl - rl) * self.make.half_width_mm
        moment_y = (fl + fr - rl - rr) * self.make.half_depth_mm
        quarter = (fl - fr - rl + rr) / 4.0
        return [
            s0 * force + sx * moment_x + sy * moment_y + quarter * t
            for s0, sx, sy, t in self._spread
        ]

    @property
    def elapsed_s(self) -> float:
        """Seconds since it was switched on, by the true clock."""
        return self._samples / self.make.rate_hz + self._waited_s

    def observe(self, loads_n: Loads) -> Observed | None:
        """The next sample's counts; None where its converters are slower than they should be."""
        make, rng, ailment = self.make, self._rng, self._ailment
        counts = [0, 0, 0, 0]
        status = 0
        noise = make.noise_counts if ailment is None else ailment.noise(make.noise_counts)
        for i, load in enumerate(self._cells(loads_n)):
            if make.dead_cell == i:
                status |= 1 << i
                continue
            value = round(load / self._gain[i] + self._offset[i] + rng.gauss(0, noise))
            if not -_FULL <= value < _FULL:
                value = min(max(value, -_FULL), _FULL - 1)
                status |= 1 << (4 + i)
            counts[i] = value
        self._samples += 1
        if ailment is not None:
            if not ailment.converts(self._samples):
                return None
            counts, more = ailment.wire(counts)
            status |= more
        a, b, c, d = counts
        return Observed(self.elapsed_s * (1 + make.clock_ppm * 1e-6), status, (a, b, c, d))

    def sample(self, loads_n: Loads) -> bytes:
        """The bytes of the next sample; none at all where the line loses it."""
        make, rng = self.make, self._rng
        observed = self.observe(loads_n)
        if observed is None:
            return b""
        time_us = round(self.elapsed_s * 1e6 * (1 + make.clock_ppm * 1e-6))
        frame = wire.encode_sample(
            wire.Sample(
                self._next_sequence(), time_us & 0xFFFFFFFF, observed.status, *observed.counts
            )
        )
        if make.lose_share and rng.random() < make.lose_share:
            return b""
        if make.flip_share and rng.random() < make.flip_share:
            broken = bytearray(frame)
            broken[rng.randrange(len(broken))] ^= 1 << rng.randrange(8)
            return bytes(broken)
        return frame

    def stream(self, loads: Iterable[Loads]) -> Iterator[bytes]:
        """A hello, then the bytes of each sample; again a hello every second."""
        every = max(1, round(self.make.rate_hz))
        for i, load in enumerate(loads):
            yield (self.hello() if i % every == 0 else b"") + self.sample(load)


def _spread(places: CellPlaces) -> list[tuple[float, float, float, float]]:
    """For each cell, what it bears of a unit force, of unit moments (N mm), and of a unit twist.

    A rigid plate on four equal springs: the loads are a plane over the places, and the twist is
    the one pattern without force and moments.
    """
    import numpy as np

    basis = np.column_stack([np.ones(4), np.asarray(places)])
    level = basis @ np.linalg.inv(basis.T @ basis)
    twist = np.linalg.svd(basis.T)[2][3]
    twist = twist * 2.0 * np.sign(twist[0])  # (1, -1, -1, 1) where the places are a rectangle
    return [
        (float(a), float(b), float(c), float(t)) for (a, b, c), t in zip(level, twist, strict=True)
    ]


def _inverse(matrix: list[list[float]]) -> tuple[tuple[float, float, float, float], ...]:
    import numpy as np

    rows = np.linalg.inv(np.array(matrix))
    return tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in rows)
