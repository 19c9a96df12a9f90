"""A game's own choices: the same from the same seed, on every platform and in every release.

A replay must choose as the trial did, so no library's generator is used, whose stream may change.
"""

from __future__ import annotations

from typing import Final

_MASK: Final = (1 << 64) - 1


class Dice:
    """SplitMix64 (Steele, Lea & Flood, OOPSLA 2014, doi 10.1145/2660193.2660195).

    Args:
        seed: any whole number.

    >>> dice = Dice(1)
    >>> [dice.below(6) for _ in range(5)]
    [3, 4, 5, 2, 2]
    """

    def __init__(self, seed: int) -> None:
        self._state = seed & _MASK

    def _next(self) -> int:
        self._state = (self._state + 0x9E3779B97F4A7C15) & _MASK
        z = self._state
        z = ((z ^ (z >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & _MASK
        return z ^ (z >> 31)

    def uniform(self) -> float:
        """From 0 up to, and without, 1."""
        return (self._next() >> 11) * 2.0**-53

    def below(self, count: int) -> int:
        """A whole number from 0 to ``count`` - 1."""
        return int(self.uniform() * count)
