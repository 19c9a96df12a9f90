"""The seconds of one trial, as they are spent."""

from __future__ import annotations

from typing import Final

from swaytrainer.training.happening import Where
from swaytrainer.training.mark import Tally

#: From this stillness on a second inside the band counts as calm: it is what the game rewards.
CALM_STILLNESS: Final = 0.5

_INSIDE: Final = Where.INSIDE
_TOES: Final = Where.TOES
_NOWHERE: Final = Where.NOWHERE


class Ledger:
    """Books every second of a trial once.

    Attributes:
        calm_s: seconds inside the band and still, in all.
        spell_s: for how long that has now lasted.
        step_offs: how often the vaulter has left the board.
        lost_s: without signal.
    """

    def __init__(self) -> None:
        self.calm_s = 0.0
        self.spell_s = 0.0
        self.step_offs = 0
        self.lost_s = 0.0
        self._inside_s = self._toes_s = self._heels_s = self._off_s = 0.0
        self._longest_gap_s = 0.0
        self._faults: list[str] = []

    def spend(self, seconds: float, where: Where, stillness: float) -> None:
        """Book seconds by where the weight was; ``NOWHERE`` is off the board."""
        if where is _INSIDE:
            self._inside_s += seconds
            if stillness >= CALM_STILLNESS:
                self.calm_s += seconds
                self.spell_s += seconds
                return
        elif where is _NOWHERE:
            self._off_s += seconds
        elif where is _TOES:
            self._toes_s += seconds
        else:
            self._heels_s += seconds
        self.spell_s = 0.0

    def lose(self, seconds: float, gap_s: float) -> None:
        """Book seconds of missing samples in an unbridged interval of ``gap_s``."""
        self.lost_s += seconds
        self._longest_gap_s = max(self._longest_gap_s, gap_s)

    def note(self, fault: str | None) -> None:
        """Keep a sentence of the board about itself, once."""
        if fault is not None and fault not in self._faults:
            self._faults.append(fault)

    def tally(self, planned_s: float) -> Tally:
        """The trial's account."""
        return Tally(
            planned_s=planned_s,
            inside_s=self._inside_s,
            toes_s=self._toes_s,
            heels_s=self._heels_s,
            off_board_s=self._off_s,
            lost_s=self.lost_s,
            longest_gap_s=self._longest_gap_s,
            step_offs=self.step_offs,
            faults=tuple(self._faults),
        )
