"""Waiting until counts stand still, and their mean then: for calibration and acceptance."""

from __future__ import annotations

import math
from collections import deque
from typing import Final, NamedTuple

from swaytrainer.board.calibration import Vector4

_BLOCK_S: Final = 0.25
_BLOCKS: Final = 4
#: A pause longer than this between two samples begins everything anew.
_PAUSE_S: Final = 0.5


class Mean(NamedTuple):
    """The mean of about a second.

    Attributes:
        time_s: its middle.
        counts: means, a cell.
        noise_counts: rms noise of one sample, a cell, from within the quarters of the second.
        calm_counts: the same of the calmest quarter: a single jolt doesn't enlarge it.
        spread_counts: largest less smallest count, a cell.
        samples: how many.
    """

    time_s: float
    counts: Vector4
    noise_counts: Vector4
    calm_counts: Vector4
    spread_counts: Vector4
    samples: int


class _Block:
    __slots__ = ("begin_s", "high", "low", "n", "squares", "sums")

    def __init__(self, begin_s: float, first: Vector4) -> None:
        self.begin_s = begin_s
        self.n = 0
        self.sums = [0.0] * 4
        self.squares = [0.0] * 4
        self.low = list(first)
        self.high = list(first)


class LastSecond:
    """The mean of the newest second, renewed four times a second. Cost a sample: O(1)."""

    def __init__(self) -> None:
        self._blocks: deque[_Block] = deque(maxlen=_BLOCKS)
        self._block: _Block | None = None
        self._first: Vector4 = (0.0, 0.0, 0.0, 0.0)
        self._last_s = -math.inf

    def restart(self) -> None:
        """Forget the past."""
        self._blocks.clear()
        self._block = None

    def update(self, time_s: float, counts: Vector4) -> Mean | None:
        """Take one sample; a mean whenever another quarter of a second is full."""
        if time_s - self._last_s > _PAUSE_S:
            self.restart()
        self._last_s = time_s
        mean = None
        block = self._block
        if block is not None and time_s - block.begin_s >= _BLOCK_S:
            self._blocks.append(block)
            block = None
            if len(self._blocks) == _BLOCKS:
                mean = self._mean(time_s)
        if block is None:
            if not self._blocks:
                self._first = counts
            block = self._block = _Block(time_s, counts)
        block.n += 1
        for i in range(4):
            value = counts[i]
            # Sums about a value nearby: squares of the counts themselves would lose the noise.
            apart = value - self._first[i]
            block.sums[i] += apart
            block.squares[i] += apart * apart
            if value < block.low[i]:
                block.low[i] = value
            elif value > block.high[i]:
                block.high[i] = value
        return mean

    def _mean(self, end_s: float) -> Mean:
        blocks = self._blocks
        n = sum(b.n for b in blocks)
        counts, noise, calm, spread = [], [], [], []
        for i in range(4):
            counts.append(self._first[i] + math.fsum(b.sums[i] for b in blocks) / n)
            within = [max(0.0, b.squares[i] - b.sums[i] ** 2 / b.n) for b in blocks]
            noise.append(math.sqrt(math.fsum(within) / max(1, n - len(blocks))))
            calm.append(
                math.sqrt(min(w / max(1, b.n - 1) for w, b in zip(within, blocks, strict=True)))
            )
            spread.append(max(b.high[i] for b in blocks) - min(b.low[i] for b in blocks))
        return Mean(
            0.5 * (blocks[0].begin_s + end_s),
            _four(counts),
            _four(noise),
            _four(calm),
            _four(spread),
            n,
        )


def _four(values: list[float]) -> Vector4:
    a, b, c, d = values
    return (a, b, c, d)
