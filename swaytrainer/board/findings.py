"""What an acceptance asks for, what can be found wrong with a board, and how it is told."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, NamedTuple

from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.board.steady import Mean


class Step(StrEnum):
    """What is asked for, in this order."""

    EMPTY = "empty"
    LEFT = "left"
    RIGHT = "right"
    HEELS = "heels"
    TOES = "toes"
    WEIGHT = "weight"
    EMPTY_AGAIN = "empty again"


LEANS: Final = (Step.LEFT, Step.RIGHT, Step.HEELS, Step.TOES)


class Trouble(StrEnum):
    """What can be wrong."""

    ID = "wrong board id"
    RATE = "wrong rate"
    DEAD = "dead cell"
    SWAPPED = "swapped channels"
    REVERSED = "reversed cell"
    WIRING = "wiring"
    NOISY = "noisy supply"
    LOOSE = "loose screw"
    ROCKING = "rocking plate"
    BOUND = "bound plate"
    GAIN = "gain drift"
    ZERO = "zero"
    STATUS = "status"


class Finding(NamedTuple):
    """One thing that is wrong: what, in a sentence, and what to do."""

    trouble: Trouble
    what: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came out.

    Attributes:
        findings: worst first; a board without any has passed.
        force_error: of the known mass, as a share; NaN if it didn't come to that.
        cop_error_mm: of its place.
        noise_n: rms noise of one sample of the noisiest cell.
        fix: a corrected calibration, if only the cables are wrong.
    """

    findings: tuple[Finding, ...]
    force_error: float = math.nan
    cop_error_mm: float = math.nan
    noise_n: float = math.nan
    fix: Calibration | None = None

    @property
    def passed(self) -> bool:
        """Nothing is wrong."""
        return not self.findings


def difference(c: Calibration, mean: Mean, zero: Mean) -> Vector4:
    """What lies on the cells (N, order of ``CORNERS``) in one mean more than in another."""
    a0, b0, c0, d0 = c.loads(mean.counts)
    a1, b1, c1, d1 = c.loads(zero.counts)
    return (a0 - a1, b0 - b1, c0 - c1, d0 - d1)


def cop_of(c: Calibration, loads: Sequence[float]) -> tuple[float, float]:
    """Where loads press, x and y in mm: Σ F·p / ΣF; (0, 0) where their sum is nothing."""
    force = math.fsum(loads)
    if force == 0.0:
        return (0.0, 0.0)
    return (
        math.fsum(p[0] * w for p, w in zip(c.places, loads, strict=True)) / force,
        math.fsum(p[1] * w for p, w in zip(c.places, loads, strict=True)) / force,
    )


def twist_share(loads: Sequence[float]) -> float:
    """The twist of four loads as a share of their sum: what no vaulter does."""
    return (loads[0] - loads[1] - loads[2] + loads[3]) / math.fsum(loads)
