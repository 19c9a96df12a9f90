"""One recording in the window: its plots, its numbers, its events and notes.

Three things are drawn apart, as each costs something and only the first must keep up with the
samples: the picture (curves and soles), the numbers and lines of text, the spectrum.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from PySide6 import QtCore, QtWidgets

from swaytrainer.scope import colours, readout
from swaytrainer.scope.curves import Drawn
from swaytrainer.scope.gaze import Gaze
from swaytrainer.scope.lettering import Figures, Words, font_of
from swaytrainer.scope.notes import Note
from swaytrainer.scope.plots import SolesPlot, SpectrumPlot, TimePlot
from swaytrainer.scope.watched import CORNERS, Cloud, Spectra, Watched
from swaytrainer.sitting.view import Happening, Phase
from swaytrainer.words import say, tr

_CORNER_NAMES: Final = (
    say("front left"),
    say("front right"),
    say("rear left"),
    say("rear right"),
)
_FOUR: Final = (colours.BLUE, colours.ORANGE, colours.GREEN, colours.PURPLE)
_MOST_MARKS: Final = 200
#: These would hide all others in the list.
_TOO_MANY: Final = (Happening.COUNTDOWN_TICK, Happening.TARED)


class Shown(NamedTuple):
    """What one recording has to show of the present stretch, before scales are known."""

    drawn: dict[str, Drawn]
    reaches: list[tuple[float, float]]
    cloud: Cloud


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
        self._cloud: Cloud | None = None
        level = watched.setup.level
        band = (level.band_low_percent, level.band_high_percent)
        self.soles = SolesPlot(watched.sitting.feet, band, watched.setup.vaulter.foot_length_mm)
        self.spectrum = SpectrumPlot()
        shares = TimePlot(
            tr(say("Share, %")),
            (
                ("toe_share_percent", tr(say("toes")), colours.BLUE),
                ("right_share_percent", tr(say("right foot")), colours.ORANGE),
            ),
            100.0,
            (0.0, 100.0),
        )
        shares.band(*band)
        corners = [
            (key, tr(name), colour)
            for key, name, colour in zip(CORNERS, _CORNER_NAMES, _FOUR, strict=True)
        ]
        self.plots = [
            shares,
            TimePlot(tr(say("Speed, mm/s")), (("speed_mm_s", "", colours.INK),), 20.0, below=0.0),
            TimePlot(tr(say("Force, N")), (("force_n", "", colours.INK),), 100.0, below=0.0),
            TimePlot(tr(say("Corners, N")), corners, 50.0, below=0.0),
        ]
        if with_strides or watched.moves:
            cadence = (("cadence_hz", "", colours.PURPLE),)
            absorbed = (("absorption_percent", "", colours.GREEN),)
            self.plots += [
                TimePlot(tr(say("Strides a second")), cadence, 1.0, below=0.0),
                TimePlot(tr(say("Absorbed, %")), absorbed, 100.0),
            ]
        for plot in self.plots[:-1]:
            plot.hide_times()
        self._keys = [key for plot in self.plots for key in plot.keys]
        self._build(readout.title(watched, made))

    def _build(self, title: str) -> None:
        self._title = Words(17, bold=True)
        self._title.say(title)
        self._state = Words(16)
        self._values = Figures()
        self._health = Words(15, lines=2)
        self._ellipse = Words(14, lines=2)
        self._spectral = Words(14, lines=2)
        self._strides = Words(14)
        self._happened = QtWidgets.QListWidget()
        self._happened.setAccessibleName(tr(say("Events and notes")))
        self._happened.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
        self._happened.setFont(font_of(15))
        self._listed = (-1, -1)
        left = QtWidgets.QVBoxLayout()
        left.addWidget(_label(self.soles.title))
        left.addWidget(self.soles.widget, 5)
        left.addWidget(self._ellipse)
        left.addWidget(_label(self.spectrum.title))
        left.addWidget(self.spectrum.widget, 3)
        left.addWidget(self._spectral)
        left.addWidget(_label(tr(say("Events and notes"))))
        left.addWidget(self._happened, 3)
        right = QtWidgets.QVBoxLayout()
        for plot in self.plots:
            right.addWidget(_label(plot.title))
            right.addWidget(plot.widget, 2)
        right.addWidget(_label(tr(say("Seconds since the recording began"))))
        right.addWidget(self._strides)
        self._strides.setVisible(self.watched.moves)
        columns = QtWidgets.QHBoxLayout()
        columns.addLayout(left, 2)
        columns.addLayout(right, 3)
        whole = QtWidgets.QVBoxLayout(self)
        whole.setContentsMargins(6, 4, 6, 4)
        for widget in (self._title, self._state, self._values, self._health):
            whole.addWidget(widget)
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
        reaches = [plot.reach(drawn) for plot in self.plots]
        return Shown(drawn, reaches, watched.cloud(at_s))

    def draw(
        self, shown: Shown, gaze: Gaze, newest_s: float, reaches: list[tuple[float, float]]
    ) -> None:
        """The picture, with scales that hold what all recordings show."""
        begin = self.watched.begin_s
        stretch = gaze.stretch(newest_s)
        marks = self._marks_within(stretch)
        for plot, reach in zip(self.plots, reaches, strict=True):
            plot.draw(shown.drawn, begin, stretch, reach)
            plot.mark(marks)
        self.soles.draw(shown.cloud)
        self._cloud = shown.cloud

    def tell(self, gaze: Gaze) -> None:
        """Numbers, lines and the list: as they are in the picture drawn last."""
        watched = self.watched
        at_s = watched.begin_s + gaze.at_s(self.newest_s)
        self._values.show_them(readout.values(watched, at_s))
        self._state.say(readout.state(watched))
        well, line = readout.health(watched)
        self._health.say(line, colours.GREY if well else colours.WARNING, bold=not well)
        if self._cloud is not None:
            self._ellipse.say(readout.ellipse_line(self._cloud))
        self._strides.say(readout.strides_line(watched))
        self._list()

    def spectra(self, gaze: Gaze) -> Spectra:
        """Those of the moment that is looked at."""
        return self.watched.spectra(self.watched.begin_s + gaze.at_s(self.newest_s))

    def draw_spectra(self, spectra: Spectra, top: float) -> None:
        """Draw them, with a scale that holds ``top``."""
        self.spectrum.draw(spectra, top)
        self._spectral.say(readout.spectrum_line(spectra))

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
        lines = [(e.time_s, readout.told(e)) for e in events]
        lines += [(n.time_s, f"✎ {n.text or tr(say('mark'))}") for n in self.notes]
        self._happened.clear()
        self._happened.addItems([f"{_clock(t - begin)}  {what}" for t, what in sorted(lines)])
        self._happened.scrollToBottom()


def _clock(seconds: float) -> str:
    """Seconds since the beginning as minutes and seconds; the empty board before it is 0."""
    tenths = max(0, round(10.0 * seconds)) if math.isfinite(seconds) else 0
    return f"{tenths // 600}:{tenths % 600 / 10:04.1f}"


def _label(text: str) -> QtWidgets.QLabel:
    label = QtWidgets.QLabel(text)
    label.setFont(font_of(14, bold=True))
    label.setTextFormat(QtCore.Qt.TextFormat.AutoText)
    label.setWordWrap(True)  # beside another recording there is less room
    label.setSizePolicy(QtWidgets.QSizePolicy.Policy.Ignored, QtWidgets.QSizePolicy.Policy.Minimum)
    return label
