"""Orders that a game chooses with its dice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from swaytrainer.training.tasks.dice import Dice

_Item = TypeVar("_Item")


def shuffled(dice: Dice, items: Sequence[_Item]) -> list[_Item]:
    """The items in another order, each order as likely (Fisher & Yates).

    >>> sorted(shuffled(Dice(1), "dcba"))
    ['a', 'b', 'c', 'd']
    """
    rest = list(items)
    for last in range(len(rest) - 1, 0, -1):
        other = dice.below(last + 1)
        rest[last], rest[other] = rest[other], rest[last]
    return rest
