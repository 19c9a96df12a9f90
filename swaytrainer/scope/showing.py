"""The recordings shown side by side: read a little, draw a little, thirty times a second."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6 import QtCore, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope import readout
from swaytrainer.scope.gaze import Gaze
from swaytrainer.scope.notes import Note
from swaytrainer.scope.pane import Pane
from swaytrainer.scope.source import Source

#: Thirty pictures a second; of the time between two, so much may go into reading.
FRAME_MS: Final = 33
_READ_MS: Final = 14
#: ... and while there is much to read, fewer pictures will do.
_CATCH_UP_MS: Final = 45
#: Numbers that change thirty times a second can't be read, and a spectrum changes slowly: of so
#: many ticks one renews them, and never both in one.
_TELL_TICKS: Final = 6
_SPECTRA_TICKS: Final = 15
_SPECTRA_AT: Final = 3
#: A recording that is being written grows many times a second; what hasn't for so long is over.
_QUIET_S: Final = 3.0


class Showing(QtWidgets.QWidget):
    """See the module.

    Args:
        new_source: makes the source of a path.

    Attributes:
        sources, panes: one or two, or none; a pane is None until its recording's head was read.
        gaze: which stretch is looked at.
        chosen: whose marks and notes are asked for.
        parked: nobody has looked elsewhere since a recording that was over has been opened, so each
            shows where its own last trial ended. When it grows after all, it is followed.
    """

    def __init__(self, new_source: Callable[[Path], Source]) -> None:
        super().__init__()
        self.sources: list[Source] = []
        self.panes: list[Pane | None] = []
        self.gaze = Gaze()
        self.chosen = 0
        self.parked = False
        self._new_source = new_source
        self._row = QtWidgets.QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._ticks = 0
        self._dirty = self._untold = self._old_spectra = self._fresh = True
        self._read = False

    def open(self, paths: list[Path]) -> None:
        """Show these, one or two side by side.

        What grows is followed. Of what is over, or has not been written to for a few seconds, the
        last trial is looked at first, not the empty board after it.
        """
        self.sources = [self._new_source(path) for path in paths]
        self.gaze = Gaze(self.gaze.width_s)
        self.chosen = 0
        self._fresh, self._read, self.parked = True, False, False
        for pane in self.panes:
            if pane is not None:
                self._row.removeWidget(pane)
                pane.deleteLater()
        self.panes = [None] * len(self.sources)
        self.changed()

    def changed(self) -> None:
        """What is shown is no longer right: the next tick draws."""
        self._dirty = self._untold = self._old_spectra = True

    def look_at(self, gaze: Gaze) -> None:
        """Look elsewhere."""
        self._fresh = False
        self._look(gaze, parked=False)

    def _look(self, gaze: Gaze, parked: bool) -> None:
        self.gaze, self.parked = gaze, parked
        for pane in self.panes:
            if pane is not None:
                pane.park(parked)
        self.changed()

    @property
    def newest_s(self) -> float:
        """The newest sample of all shown, s since its recording began; NaN without one."""
        newest = [p.newest_s for p in self.panes if p is not None and math.isfinite(p.newest_s)]
        return max(newest, default=math.nan)

    @property
    def catching_up(self) -> bool:
        """There is more in the files than has been read."""
        return any(s.catching_up for s in self.sources)

    def tick(self) -> bool:
        """Read for a while, then draw what is due; whether anything was."""
        clock = QtCore.QElapsedTimer()
        clock.start()
        for n, source in enumerate(self.sources, start=1):
            most_ms = _CATCH_UP_MS if source.catching_up else _READ_MS
            while source.poll():
                self.changed()
                if self._read:
                    self._fresh = False  # it grows
                if self.parked:
                    self._look(self.gaze.following(), parked=False)
                if clock.elapsed() >= n * most_ms:
                    break
        self._make_panes()
        self._begin_at_the_trial()
        self._ticks += 1
        drawn = self._dirty
        if self._dirty:
            self.draw()
        if self._untold and self._ticks % _TELL_TICKS == 0:
            self.tell()
        elif self._old_spectra and self._ticks % _SPECTRA_TICKS == _SPECTRA_AT:
            self.draw_spectra()
        return drawn

    def renew(self) -> None:
        """Draw all at once: for the first picture, and for one that is saved."""
        self.draw()
        self.tell()
        self.draw_spectra()

    def _make_panes(self) -> None:
        if not self.panes or self.panes[0] is not None:
            return
        watched = [s.watched for s in self.sources]
        if any(w is None and not s.trouble for w, s in zip(watched, self.sources, strict=True)):
            return
        with_strides = any(w is not None and w.moves for w in watched)
        for i, source in enumerate(self.sources):
            if source.watched is None:
                continue
            try:
                notes = source.notes.notes()
            except SwaytrainerError as error:
                notes, source.trouble = [], readout.trouble(error)
            pane = Pane(
                source.watched,
                source.tail.recording.made,
                notes,
                with_strides,
                beside=len(self.sources) > 1,
            )
            self.panes[i] = pane
            self._row.addWidget(pane, 1)
        made = [pane for pane in self.panes if pane is not None]
        for pane in made:
            # A millimetre is as long on one picture as on the other.
            pane.soles.hold(*(max(p.soles.needs_mm[n] for p in made) for n in (0, 1)))
        self.changed()

    def _begin_at_the_trial(self) -> None:
        if not self._fresh or self.catching_up:
            return
        pane = self.panes[0] if self.panes else None
        if pane is None or not math.isfinite(pane.newest_s):
            return
        if not self._read:
            self._read = True
            self.renew()
        over = pane.over or all(source.quiet_s > _QUIET_S for source in self.sources)
        if not over:
            return
        self._fresh = False
        ends = [each.stood_until_s() for each in self._alive()]
        end_s = max((end for end in ends if math.isfinite(end)), default=math.nan)
        if math.isfinite(end_s):
            self._look(Gaze(self.gaze.width_s, end_s), parked=True)
        self.renew()

    def _alive(self) -> list[Pane]:
        return [p for p in self.panes if p is not None and math.isfinite(p.newest_s)]

    def draw(self) -> None:
        """The pictures, with the same scales."""
        self._dirty = False
        panes, newest_s = self._alive(), self.newest_s
        shown = [pane.look(self.gaze, newest_s) for pane in panes]
        if not shown:
            return
        reaches = [_joined(list(each)) for each in zip(*(s.reaches for s in shown), strict=True)]
        for pane, each in zip(panes, shown, strict=True):
            pane.draw(each, self.gaze, newest_s, reaches)

    def tell(self) -> None:
        """Numbers and lines."""
        self._untold = False
        for pane in self._alive():
            pane.tell(self.gaze)

    def draw_spectra(self) -> None:
        """The spectra, with the same scale."""
        self._old_spectra = False
        panes = self._alive()
        spectra = [pane.spectra(self.gaze) for pane in panes]
        tops = [pane.spectrum.top(each) for pane, each in zip(panes, spectra, strict=True)]
        top = max((t for t in tops if math.isfinite(t)), default=1.0)
        for pane, each in zip(panes, spectra, strict=True):
            pane.draw_spectra(each, top)

    def moment(self) -> Note | None:
        """A mark at the moment shown, of the chosen recording; None before its first sample."""
        pane = self.panes[self.chosen] if self.panes else None
        if pane is None or not math.isfinite(pane.newest_s):
            return None
        return Note(pane.watched.begin_s + pane.at_s(self.gaze))

    def at_s(self) -> float:
        """The moment shown of the chosen recording, s since its beginning; NaN without one."""
        pane = self.panes[self.chosen] if self.panes else None
        return math.nan if pane is None else pane.at_s(self.gaze)

    def keep(self, note: Note) -> None:
        """Keep a note beside the chosen recording.

        Raises:
            SwaytrainerError: it can't be kept.
        """
        pane = self.panes[self.chosen] if self.panes else None
        if pane is not None:
            pane.notes.append(self.sources[self.chosen].add(note))
            self.changed()


def _joined(reaches: list[tuple[float, float]]) -> tuple[float, float]:
    """What holds all of these; NaN if none is any."""
    finite = [r for r in reaches if math.isfinite(r[0])]
    if not finite:
        return math.nan, math.nan
    return min(r[0] for r in finite), max(r[1] for r in finite)
