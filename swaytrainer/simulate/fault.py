"""What can be wrong with a board: ten built-in faults, as ``swaytrainer check`` should find them.

How large each is, is our own choice: about the least that matters to a vaulter's measures.
"""

from __future__ import annotations

from enum import StrEnum
from random import Random
from typing import Final


class Fault(StrEnum):
    """See ``Ailment`` for what each does."""

    SWAPPED = "swapped-channels"
    REVERSED = "reversed-cell"
    DEAD = "dead-cell"
    ROCKING = "rocking-plate"
    GAIN = "gain-drift"
    RATE = "wrong-rate-pin"
    NOISY = "noisy-supply"
    LOOSE = "loose-screw"
    BOUND = "bound-plate"
    ID = "wrong-board-id"


#: One foot of the plate hangs in the air until this twist bends it down, N.
ROCK_N: Final = 150.0
#: Beyond this load the bound corner rests on something beside its cell, which takes 40 %.
BOUND_FROM_N: Final = 40.0
BOUND_SHARE: Final = 0.4
#: A loose cell slips whenever its load has changed by this much, N.
SLIP_AFTER_N: Final = 40.0
NOISE_TIMES: Final = 25.0
#: The rate pin left low: ten samples a second instead of eighty.
RATE_DIVISOR: Final = 8


class Ailment:
    """One fault at work on one board. Which cell, and which way, is drawn from the seed."""

    def __init__(self, fault: Fault, seed: int) -> None:
        self.fault = fault
        rng = Random(f"{fault.value} {seed}")
        self._rng = rng
        self.cell = rng.randrange(4)
        self.other = (self.cell + rng.randrange(1, 4)) % 4
        self.sign = rng.choice((-1.0, 1.0))
        self.change = self.sign * rng.uniform(0.05, 0.09)
        self.silent = rng.random() < 0.5
        self._slipped_n = 0.0
        self._slipped_at_n = 0.0

    def board_id(self, true_id: str) -> str:
        """What the board calls itself."""
        if self.fault is not Fault.ID:
            return true_id
        return f"{int(true_id, 16) ^ (1 << self.cell):016x}"

    def press(self, loads: list[float]) -> list[float]:
        """What the cells bear, N, of what a sound plate would give them."""
        cell, load = self.cell, loads[self.cell]
        if self.fault is Fault.ROCKING:
            # It stands on one diagonal and a third foot, until the twist closes the gap.
            up, down = ((0, 3), (1, 2)) if self.sign > 0 else ((1, 2), (0, 3))
            moved = max(0.0, min(ROCK_N / 4.0, loads[up[0]], loads[up[1]]))
            for i in up:
                loads[i] -= moved
            for i in down:
                loads[i] += moved
        elif self.fault is Fault.GAIN:
            loads[cell] = load * (1.0 + self.change)
        elif self.fault is Fault.BOUND:
            loads[cell] = load - BOUND_SHARE * max(0.0, load - BOUND_FROM_N)
        elif self.fault is Fault.LOOSE:
            if abs(load - self._slipped_at_n) > SLIP_AFTER_N:
                self._slipped_at_n = load
                self._slipped_n += self._rng.choice((-1.0, 1.0)) * self._rng.uniform(3.0, 8.0)
            loads[cell] = load + self._slipped_n
        elif self.fault is Fault.DEAD and self.silent:
            loads[cell] = 0.0
        return loads

    def noise(self, noise_counts: float) -> float:
        """The converters' noise."""
        return noise_counts * (NOISE_TIMES if self.fault is Fault.NOISY else 1.0)

    def converts(self, sample: int) -> bool:
        """Whether there is a sample at this one's time."""
        return self.fault is not Fault.RATE or sample % RATE_DIVISOR == 0

    def wire(self, counts: list[int]) -> tuple[list[int], int]:
        """What the cables make of the counts, and status bits."""
        if self.fault is Fault.SWAPPED:
            a, b = self.cell, self.other
            counts[a], counts[b] = counts[b], counts[a]
        elif self.fault is Fault.REVERSED:
            counts[self.cell] = -counts[self.cell]
        elif self.fault is Fault.DEAD and not self.silent:
            counts[self.cell] = 0
            return counts, 1 << self.cell
        return counts, 0
