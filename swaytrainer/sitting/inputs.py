"""Everything that can change a sitting's answer. What is recorded is exactly this."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from swaytrainer.board.arrivals import Arrival


class Wish(StrEnum):
    """What a key, a pointer or a choice on the board can ask of a sitting."""

    ABORT = "abort"  # break off the trial, countdown or settling
    SKIP = "skip"  # do not wait: for stillness, for the rest's end
    BEGIN = "begin"  # whoever stands on the board has chosen: no need to step off first


class Asked(NamedTuple):
    """A wish, at a host time (s)."""

    host_s: float
    wish: Wish


Input = Arrival | Asked


@dataclass(frozen=True, slots=True)
class BoardFacts:
    """What of a board's hello a sitting depends on.

    ``cells``: 4, or 8 where two plates, one a foot, are one source.
    """

    board_id: str
    rate_hz: float
    cells: int = 4
