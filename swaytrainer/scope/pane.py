"""One recording in the window: its plots, its numbers, its events and notes."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from PySide6 import QtCore, QtWidgets

from swaytrainer.scope import colours, readout
from swaytrainer.scope.curves import Drawn
from swaytrainer.scope.gaze import Gaze
from swaytrainer.scope.notes import Note
from swaytrainer.scope.plots import SolesPlot, SpectrumPlot, TimePlot
from swaytrainer.scope.watched import CORNERS, Cloud, Spectra, Watched, told
from swaytrainer.sitting.view import Happening, Phase

_CORNER_NAMES: Final = ("front left", "front right", "rear left", "rear right")
_FOUR: Final = (colours.BLUE, colours.ORANGE, colours.GREEN, colours.PURPLE)
#: A spectrum changes slowly: it is reckoned anew so often (s of the board's time).
_SPECTRUM_EVERY_S: Final = 1.0
#: Numbers and lines of text change so often (s of the board's time).
_TELL_EVERY_S: Final = 0.2
_MOST_MARKS: Final = 200
#: These would hide all others in the list.
_TOO_MANY: Final = (Happening.COUNTDOWN_TICK, Happening.TARED)


class Shown(NamedTuple):
    """What one recording has to show of the present stretch, before scales are known."""

    drawn: dict[str, Drawn]
    reaches: list[tuple[float, float]]
    cloud: Cloud
    spectra: Spectra


class Pane(QtWidgets.QWidget):
    """See the module.

    Args:
        watched: the sitting.
        made: the recording's date, ISO.
        notes: what there is beside it.
        with_strides: the strides' plots have their place, as this or its neighbour has some.
    """

    def __init__(
        self, watched: Watched, made: str, notes: list[Note], with_strides: bool = False
    ) -> None:
        super().__init__()
        self.watched = watched
        self.notes = list(notes)
        self._spectra: Spectra | None = None
        self._drawn: Spectra | None = None
        self._spectra_at_s = self._told_at_s = math.nan
        level = watched.setup.level
        band = (level.band_low_percent, level.band_high_percent)
        self.soles = SolesPlot(watched.sitting.feet, band, watched.setup.vaulter.foot_length_mm)
        self.spectrum = SpectrumPlot()
        shares = TimePlot(
            "Share, %",
            (
                ("toe_share_percent", "toes", colours.BLUE),
                ("right_share_percent", "right foot", colours.ORANGE),
            ),
            100.0,
            (0.0, 100.0),
        )
        shares.band(*band)
        self.plots = [
            shares,
            TimePlot("Speed, mm/s", (("speed_mm_s", "", colours.INK),), 20.0, below=0.0),
            TimePlot("Force, N", (("force_n", "", colours.INK),), 100.0, below=0.0),
            TimePlot(
                "Corners, N",
                tuple(zip(CORNERS, _CORNER_NAMES, _FOUR, strict=True)),
                50.0,
                below=0.0,
            ),
        ]
        if with_strides or watched.moves:
            self.plots += [
                TimePlot("Strides a second", (("cadence_hz", "", colours.PURPLE),), 1.0, below=0.0),
                TimePlot("Absorbed, %", (("absorption_percent", "", colours.GREEN),), 100.0),
            ]
        for plot in self.plots[:-1]:
            plot.hide_times()
        self._keys = [key for plot in self.plots for key in plot.keys]
        self._build(readout.title(watched, made))

    def _build(self, title: str) -> None:
        self._title = _label(title, 17, bold=True)
        self._state = _label("", 16)
        self._values = _label("", 22)
        self._health = _label("", 15)
        self._ellipse = _label("", 14)
        self._spectral = _label("", 14)
        self._strides = _label("", 14)
        self._happened = QtWidgets.QListWidget()
        self._happened.setAccessibleName("Events and notes")
        self._happened.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
        self._happened.setStyleSheet("font-size: 15px")
        self._listed = (-1, -1)
        left = QtWidgets.QVBoxLayout()
        left.addWidget(_label(self.soles.title, 14, bold=True))
        left.addWidget(self.soles.widget, 5)
        left.addWidget(self._ellipse)
        left.addWidget(_label(self.spectrum.title, 14, bold=True))
        left.addWidget(self.spectrum.widget, 3)
        left.addWidget(self._spectral)
        left.addWidget(_label("Events and notes", 14, bold=True))
        left.addWidget(self._happened, 3)
        right = QtWidgets.QVBoxLayout()
        for plot in self.plots:
            right.addWidget(_label(plot.title, 14, bold=True))
            right.addWidget(plot.widget, 2)
        right.addWidget(_label("Seconds since the recording began", 14))
        right.addWidget(self._strides)
        self._strides.setVisible(self.watched.moves)
        columns = QtWidgets.QHBoxLayout()
        columns.addLayout(left, 2)
        columns.addLayout(right, 3)
        whole = QtWidgets.QVBoxLayout(self)
        whole.setContentsMargins(6, 4, 6, 4)
        for label in (self._title, self._state, self._values, self._health):
            whole.addWidget(label)
        whole.addLayout(columns, 1)

    @property
    def last_end_s(self) -> float | None:
        """Where the last trial ended, s since the beginning, if the sitting is over; else None."""
        ends = [e.time_s for e in self.watched.events if e.outcome is not None]
        over = self.watched.view.phase is Phase.FINISHED
        return ends[-1] - self.watched.begin_s if over and ends else None

    @property
    def newest_s(self) -> float:
        """The newest sample, s since the beginning."""
        return self.watched.newest_s - self.watched.begin_s

    def look(self, gaze: Gaze, newest_s: float) -> Shown:
        """What there is to show.

        Args:
            gaze: where is looked.
            newest_s: the newest of all recordings shown, s since the beginning.
        """
        watched, begin = self.watched, self.watched.begin_s
        first, last = gaze.stretch(newest_s)
        columns = self.plots[0].columns
        curves = watched.curves
        drawn = {key: curves.drawn(key, begin + first, begin + last, columns) for key in self._keys}
        at_s = begin + gaze.at_s(self.newest_s)
        spectra = self._spectra
        if spectra is None or not abs(at_s - self._spectra_at_s) < _SPECTRUM_EVERY_S:
            spectra = self._spectra = watched.spectra(at_s)
            self._spectra_at_s = at_s
        reaches = [plot.reach(drawn) for plot in self.plots]
        return Shown(drawn, reaches, watched.cloud(at_s), spectra)

    def show_it(
        self,
        shown: Shown,
        gaze: Gaze,
        newest_s: float,
        reaches: list[tuple[float, float]],
        top: float,
    ) -> None:
        """Draw it, with scales that hold what all recordings show."""
        begin = self.watched.begin_s
        stretch = gaze.stretch(newest_s)
        marks = self._marks_within(stretch)
        for plot, reach in zip(self.plots, reaches, strict=True):
            plot.draw(shown.drawn, begin, stretch, reach)
            plot.mark(marks)
        self.soles.draw(shown.cloud)
        self.spectrum.draw(shown.spectra, top)
        at_s = begin + gaze.at_s(self.newest_s)
        # Numbers that change thirty times a second can't be read; and a picture with a new
        # spectrum has enough to do.
        new, self._drawn = shown.spectra is not self._drawn, shown.spectra
        if gaze.follows and (new or abs(at_s - self._told_at_s) < _TELL_EVERY_S):
            return
        self._told_at_s = at_s
        _say(self._values, _table(readout.values(self.watched, at_s)))
        _say(self._state, readout.state(self.watched))
        well, line = readout.health(self.watched)
        _say(self._health, line)
        colour = colours.GREY if well else colours.WARNING
        weight = "normal" if well else "bold"
        sheet = f"color: {colour}; font-size: 15px; font-weight: {weight}"
        if self._health.styleSheet() != sheet:
            self._health.setStyleSheet(sheet)
        _say(self._ellipse, readout.ellipse_line(shown.cloud))
        _say(self._spectral, readout.spectrum_line(shown.spectra))
        _say(self._strides, readout.strides_line(self.watched))
        self._list()

    def _marks_within(self, stretch: tuple[float, float]) -> list[tuple[float, str]]:
        begin = self.watched.begin_s
        at = [
            (e.time_s - begin, colours.GREY)
            for e in self.watched.events
            if e.happening not in _TOO_MANY
        ]
        at += [(note.time_s - begin, colours.ORANGE) for note in self.notes]
        within = [mark for mark in at if stretch[0] <= mark[0] <= stretch[1]]
        return within[-_MOST_MARKS:]

    def _list(self) -> None:
        events = [e for e in self.watched.events if e.happening not in _TOO_MANY]
        if (len(events), len(self.notes)) == self._listed:
            return
        self._listed = (len(events), len(self.notes))
        begin = self.watched.begin_s
        lines = [(e.time_s, told(e)) for e in events]
        lines += [(n.time_s, f"✎ {n.text or 'mark'}") for n in self.notes]
        self._happened.clear()
        self._happened.addItems([f"{_clock(t - begin)}  {what}" for t, what in sorted(lines)])
        self._happened.scrollToBottom()


def _clock(seconds: float) -> str:
    """Seconds since the beginning as minutes and seconds; the empty board before it is 0."""
    tenths = max(0, round(10.0 * seconds)) if math.isfinite(seconds) else 0
    return f"{tenths // 600}:{tenths % 600 / 10:04.1f}"


def _label(text: str, pixels: int, bold: bool = False) -> QtWidgets.QLabel:
    label = QtWidgets.QLabel(text)
    label.setWordWrap(True)
    label.setStyleSheet(
        f"color: {colours.INK}; font-size: {pixels}px; font-weight: {'bold' if bold else 'normal'}"
    )
    label.setTextFormat(QtCore.Qt.TextFormat.AutoText)
    return label


def _say(label: QtWidgets.QLabel, text: str) -> None:
    if label.text() != text:
        label.setText(text)


def _table(values: list[tuple[str, str]]) -> str:
    return " &nbsp;&nbsp; ".join(
        f'<span style="color:{colours.GREY}; font-size:15px">{name}</span> <b>{value}</b>'
        for name, value in values
    )
