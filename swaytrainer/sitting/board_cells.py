"""How each cell of one plate is: what the board says of it, and what its counts show."""

from __future__ import annotations

from typing import Final

from swaytrainer.board import wire
from swaytrainer.board.calibration import AS_BUILT, Calibration, Loads
from swaytrainer.board.ear import Heard
from swaytrainer.board.fit import CELL_NAMES
from swaytrainer.board.pair import Plate
from swaytrainer.board.steady import LastSecond, Mean
from swaytrainer.sitting.board_report import CELL_BITS, CellState, CellWord, status_of_corners
from swaytrainer.sitting.health import SHOWN_FOR_S
from swaytrainer.sway.cop import NAN

_SAMPLES_FOR_STUCK: Final = 8


class PlateCells:
    """Four cells.

    Args:
        calibration: the plate's, None if it has none.
        plate: which of two it is; None for a board with one.
    """

    def __init__(self, calibration: Calibration | None, plate: Plate | None) -> None:
        self._calibration = calibration
        self._names = CELL_NAMES if plate is None else tuple(f"{plate}: {n}" for n in CELL_NAMES)
        self._channels = calibration.channels if calibration else AS_BUILT
        self._second = LastSecond()
        self._mean: Mean | None = None
        self._mask = 0
        self._until_s: dict[tuple[int, CellWord], float] = {}
        self._time_s = 0.0

    @property
    def counts(self) -> Loads | None:
        """The mean counts of the newest second, None where a cell is missing in it."""
        return None if self._mean is None or self._mask else self._mean.counts

    def update(self, heard: Heard) -> int:
        """Take one sample; its status, with the bits of cells standing for corners."""
        self._time_s = heard.time_s
        status = status_of_corners(heard.status, self._channels)
        for word, shift in CELL_BITS:
            if status >> shift & 0xF:
                for i in range(4):
                    if status >> (shift + i) & 1:
                        self._until_s[i, word] = heard.time_s + SHOWN_FOR_S
        mask = status & wire.STATUS_NO_LOADS
        if mask != self._mask:
            self._mask = mask
            self.gone()
        if not mask & wire.STATUS_MIXED:
            self._mean = self._second.update(heard.time_s, heard.counts) or self._mean
        return status

    def gone(self) -> None:
        """What was heard says nothing of what comes next."""
        self._second.restart()
        self._mean = None

    def states(self, connected: bool, still: bool, loads_n: Loads | None) -> tuple[CellState, ...]:
        """Each cell.

        Args:
            connected: samples come.
            still: nothing moves on the board, so that what wavers is noise.
            loads_n: the plate's four loads of ``counts``, tared; None if they are not known.
        """
        mean = self._mean
        states = []
        for i, name in enumerate(self._names):
            k = self._channels[i]
            word = self._word(i, k) if connected else CellWord.SILENT
            if mean is None or word is CellWord.MISSING:
                states.append(CellState(name, word))
                continue
            noise = mean.noise_counts[k] if still else NAN
            gain_n = abs(self._calibration.gain_n_per_count[i]) if self._calibration else NAN
            load = NAN if loads_n is None else loads_n[i]
            states.append(CellState(name, word, mean.counts[k], load, noise, gain_n * noise))
        return tuple(states)

    def _word(self, corner: int, channel: int) -> CellWord:
        for word, _ in CELL_BITS:
            if self._until_s.get((corner, word), -1.0) > self._time_s:
                return word
        mean = self._mean
        # What firmware calls stuck: the same count for a second. Any converter has some noise.
        long = mean is not None and mean.samples >= _SAMPLES_FOR_STUCK
        if mean is not None and long and mean.spread_counts[channel] == 0.0:
            return CellWord.STUCK
        return CellWord.FINE
