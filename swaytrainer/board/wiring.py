"""Which count is which corner's: told from four leans of which only the direction is known.

Of the 24 orders and 16 signs of four counts just one lets all four leans go where they were asked
to go without any cell pulling, and without twist.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import reduce
from itertools import permutations, product
from typing import Final

from swaytrainer.board.calibration import AS_BUILT, Calibration, Channels, Vector4
from swaytrainer.board.findings import (
    LEANS,
    Finding,
    Step,
    Trouble,
    cop_of,
    difference,
    twist_share,
)
from swaytrainer.board.fit import CELL_NAMES
from swaytrainer.board.steady import Mean
from swaytrainer.words import say

TWIST_SHARE: Final = 0.10
#: A lean counts from here on, mm.
_LEANS_MM: Final = 12.0


def rewired(c: Calibration, channels: Channels, signs: Sequence[int]) -> Calibration:
    """The calibration of the same cells behind other cables.

    Args:
        c: as it was when the cables were right.
        channels: the count that now is each corner's.
        signs: -1 for a corner whose signal is now reversed.
    """
    before = c.channels
    a, b, d, e = (channels[n] for n in before)
    gains = [g * s for g, s in zip(c.gain_n_per_count, signs, strict=True)]
    offsets = [o * s for o, s in zip(c.offset_counts, signs, strict=True)]
    return replace(
        c,
        gain_n_per_count=_four(gains),
        offset_counts=_four(offsets),
        channels=AS_BUILT if (a, b, d, e) == AS_BUILT else (a, b, d, e),
    )


def _four(values: Sequence[float]) -> Vector4:
    a, b, c, d = values
    return (a, b, c, d)


def _leans_are_right(leans: Sequence[Vector4], c: Calibration) -> bool:
    """Left, right, heels and toes go there, and no cell pulls."""
    for loads in leans:
        borne = math.fsum(abs(v) for v in loads)
        if math.fsum(loads) < 0.5 * borne or min(loads) < -0.05 * borne:
            return False
    (left, right), (heels, toes) = (
        tuple(cop_of(c, loads)[axis] for loads in pair)
        for axis, pair in ((0, leans[:2]), (1, leans[2:]))
    )
    across = 0.5 * sum(cop_of(c, loads)[0] for loads in leans[2:])
    along = 0.5 * sum(cop_of(c, loads)[1] for loads in leans[:2])
    return (
        left < across - _LEANS_MM
        and right > across + _LEANS_MM
        and heels < along - _LEANS_MM
        and toes > along + _LEANS_MM
    )


def wiring(c: Calibration, taken: dict[Step, Mean]) -> tuple[Calibration, Finding] | Finding | None:
    """None if the cables are right; else what is wrong and, if it is told, the way to right it."""

    def leans(calibration: Calibration) -> list[Vector4]:
        return [difference(calibration, taken[s], taken[Step.EMPTY]) for s in LEANS]

    if _leans_are_right(leans(c), c):
        return None
    fits: list[tuple[int, float, Channels, tuple[int, ...]]] = []
    for a, b, d, e in permutations(range(4)):
        channels = (a, b, d, e)
        for signs in product((1, -1), repeat=4):
            changes = sum(a != b for a, b in zip(channels, AS_BUILT, strict=True)) + signs.count(-1)
            trial = rewired(c, channels, signs)
            loads = leans(trial)
            if changes and _leans_are_right(loads, trial):
                twist = max(abs(twist_share(v)) for v in loads)
                if twist < 1.5 * TWIST_SHARE:
                    fits.append((changes, twist, channels, signs))
    if not fits:
        return Finding(
            Trouble.WIRING,
            "The leans don't go where they were asked to go, and no exchange of cables explains"
            " it: the leans were too small, or more than one thing is wrong.",
            "Run the check again and lean further; if that doesn't help, check every cable.",
        )
    _, _, channels, signs = min(fits)
    moved = [n for n, k in zip(CELL_NAMES, range(4), strict=True) if channels[k] != k]
    turned = [n for n, s in zip(CELL_NAMES, signs, strict=True) if s < 0]
    if moved and turned:
        said = (
            "The cables of the cells {moved} are swapped and the {turned} cell is wired the other"
            " way round."
        )
    elif moved:
        said = "The cables of the cells {moved} are swapped."
    else:
        said = "The {turned} cell is wired the other way round."
    finding = Finding(
        Trouble.SWAPPED if moved else Trouble.REVERSED,
        say(said, moved=_and(moved), turned=_and(turned)),
        "Put the cables right, or keep the corrected calibration that is offered.",
    )
    return rewired(c, channels, signs), finding


def _and(names: Sequence[str]) -> str:
    """Names joined so that each can still be said in another language."""
    if not names:
        return ""
    return reduce(lambda one, other: say("{one} and {other}", one=one, other=other), names)
