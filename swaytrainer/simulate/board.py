"""A simulated board: loads in newtons become the bytes of the wire, with a real board's faults.

The four cells, their gains and offsets are drawn from the seed, so a simulated board needs a
calibration as much as a real one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from random import Random
from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.calibration import Calibration
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

    @property
    def places(self) -> CellPlaces:
        """Where its cells are."""
        return CellPlaces.rectangle(self.make.half_width_mm, self.make.half_depth_mm)

    def true_calibration(self) -> Calibration:
        """The calibration that a perfect calibrator would find."""
        g, o = self._gain, self._offset
        return Calibration(
            self.board_id,
            datetime(2026, 1, 1, tzinfo=UTC),
            (g[0], g[1], g[2], g[3]),
            (o[0], o[1], o[2], o[3]),
            self.places,
        )

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
                self.board_id,
                self.make.rate_hz,
                4,
                24,
                wire.FEATURE_SIMULTANEOUS,
            )
        )

    def sample(self, loads_n: Loads) -> bytes:
        """The bytes of the next sample; none at all where the line loses it."""
        make, rng = self.make, self._rng
        counts = [0, 0, 0, 0]
        status = 0
        for i, load in enumerate(loads_n):
            if make.dead_cell == i:
                status |= 1 << i
                continue
            value = round(load / self._gain[i] + self._offset[i] + rng.gauss(0, make.noise_counts))
            if not -_FULL <= value < _FULL:
                value = min(max(value, -_FULL), _FULL - 1)
                status |= 1 << (4 + i)
            counts[i] = value
        self._samples += 1
        time_us = round(self._samples * 1e6 / make.rate_hz * (1 + make.clock_ppm * 1e-6))
        frame = wire.encode_sample(
            wire.Sample(self._next_sequence(), time_us & 0xFFFFFFFF, status, *counts)
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
