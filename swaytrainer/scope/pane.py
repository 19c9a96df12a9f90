"""One recording in the window: its plots, its numbers, its events and notes.

Three things are drawn apart, as each costs something and only the first must keep up with the
samples: the picture (curves and soles), the numbers and lines of text, the spectrum.
"""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.scope import colours, readout
from swaytrainer.scope.curves import Drawn
from swaytrainer.scope.gaze import Gaze
from swaytrainer.scope.lettering import Figures, Words, font_of
from swaytrainer.scope.notes import Note
from swaytrainer.scope.plots import SolesPlot, SpectrumPlot, TimePlot
from swaytrainer.scope.watched import CORNERS, Cloud, Spectra, Watched
from swaytrainer.sitting.view import Happening, Phase
from swaytrainer.words import number, say, tr

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
        beside: another stands beside it, so there is half the room.
    """

    def __init__(
        self,
        watched: Watched,
        made: str,
        notes: list[Note],
        with_strides: bool = False,
        beside: bool = False,
    ) -> None:
        super().__init__()
        self.watched = watched
        self.notes = list(notes)
        self._cloud: Cloud | None = None
        self._park_s = math.inf
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
            # Stepping on is ten times as fast as standing, which would lie flat on the ground.
            TimePlot(
                tr(say("Speed, mm/s")),
                (("speed_mm_s", "", colours.INK),),
                20.0,
                below=0.0,
                bursts=True,
            ),
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
        self._build(readout.title(watched), readout.date(made), beside)

    def _build(self, title: str, date: str, beside: bool) -> None:
        high = 15 if beside else 17
        self._title = Words(high, bold=True)
        self._title.say(title)
        self._date = Words(high, fits=date)
        self._state = Words(16)
        self._values = Figures()
        self._health = Words(15, lines=2 if beside else 1)
        self._ellipse = Words(14, lines=2 if beside else 1)
        self._spectral = Words(14, lines=3 if beside else 2)
        self._strides = Words(14)
        self._happened = QtWidgets.QListWidget()
        self._happened.setAccessibleName(tr(say("Events and notes")))
        self._happened.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
        self._happened.setFont(font_of(15))
        self._happened.setWordWrap(True)
        self._happened.setHorizontalScrollBarPolicy(QtCore.Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._happened.setResizeMode(QtWidgets.QListView.ResizeMode.Adjust)
        self._listed = (-1, -1)
        right = QtWidgets.QVBoxLayout()
        for plot in self.plots:
            right.addWidget(_Label(plot.title))
            right.addWidget(plot.widget, 2)
        right.addWidget(_Label(tr(say("Seconds since the recording began"))))
        right.addWidget(self._strides)
        self._strides.setVisible(self.watched.moves)
        columns = QtWidgets.QHBoxLayout()
        columns.addLayout(self._left(beside), 2)
        columns.addLayout(right, 3)
        whole = QtWidgets.QVBoxLayout(self)
        whole.setContentsMargins(6, 4, 6, 4)
        top = QtWidgets.QHBoxLayout()
        top.addWidget(self._title, 1)
        top.addWidget(self._date)
        whole.addLayout(top)
        for widget in (self._state, self._values, self._health):
            whole.addWidget(widget)
        whole.addLayout(columns, 1)

    def _left(self, beside: bool) -> QtWidgets.QVBoxLayout:
        """Soles, spectrum and list."""
        soles = QtWidgets.QVBoxLayout()
        soles.addWidget(_Label(self.soles.title))
        soles.addWidget(self.soles.widget, 1)
        soles.addWidget(self._ellipse)
        happened = QtWidgets.QVBoxLayout()
        happened.addWidget(_Label(tr(say("Events and notes"))))
        happened.addWidget(self._happened, 1)
        left = QtWidgets.QVBoxLayout()
        if beside:
            left.addLayout(soles, 6)
        else:
            # The soles are as high as wide: in a broad place they would be small.
            above = QtWidgets.QHBoxLayout()
            above.addLayout(soles, 5)
            above.addLayout(happened, 4)
            left.addLayout(above, 5)
        left.addWidget(_Label(self.spectrum.title))
        left.addWidget(self.spectrum.widget, 3)
        left.addWidget(self._spectral)
        if beside:
            left.addLayout(happened, 2)
        return left

    @property
    def over(self) -> bool:
        """The sitting has come to its end."""
        return self.watched.view.phase is Phase.FINISHED

    def stood_until_s(self) -> float:
        """What is worth to be looked at first, s since the beginning; NaN where nobody stood."""
        return self.watched.stood_until_s() - self.watched.begin_s

    def park(self, parked: bool) -> None:
        """Show numbers, cloud and spectrum of where this one's last trial ended, or as asked."""
        stood_s = self.stood_until_s() if parked else math.inf
        self._park_s = stood_s if math.isfinite(stood_s) else math.inf

    def at_s(self, gaze: Gaze) -> float:
        """The moment that numbers, cloud and spectrum are of, s since the beginning."""
        return min(gaze.at_s(self.newest_s), self._park_s)

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
        at_s = begin + self.at_s(gaze)
        reaches = [plot.reach(drawn) for plot in self.plots]
        return Shown(drawn, reaches, watched.cloud(at_s))

    def draw(
        self, shown: Shown, gaze: Gaze, newest_s: float, reaches: list[tuple[float, float]]
    ) -> None:
        """The picture, with scales that hold what all recordings show."""
        begin = self.watched.begin_s
        stretch = gaze.stretch(newest_s)
        marks = self._marks_within(stretch)
        at_s = self.at_s(gaze)
        if stretch[0] <= at_s <= stretch[1] and at_s < self.newest_s:
            # Where the numbers are of, unless that is the newest.
            marks.append((at_s, colours.PURPLE))
        for plot, reach in zip(self.plots, reaches, strict=True):
            plot.draw(shown.drawn, begin, stretch, reach)
            plot.mark(marks)
        self.soles.draw(shown.cloud)
        self._cloud = shown.cloud

    def tell(self, gaze: Gaze) -> None:
        """Numbers, lines and the list: as they are in the picture drawn last."""
        watched = self.watched
        at_s = watched.begin_s + self.at_s(gaze)
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
        return self.watched.spectra(self.watched.begin_s + self.at_s(gaze))

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
        self._happened.addItems([f"{clock(t - begin)}  {what}" for t, what in sorted(lines)])
        self._happened.scrollToBottom()


def clock(seconds: float) -> str:
    """Seconds since the beginning as minutes and seconds; the empty board before it is 0."""
    tenths = max(0, round(10.0 * seconds)) if math.isfinite(seconds) else 0
    return f"{tenths // 600}:{number(tenths % 600 / 10, '04.1f')}"


class _Label(QtWidgets.QLabel):
    """A title over a plot: in two lines where there is less room, and never higher than it is."""

    def __init__(self, text: str) -> None:
        super().__init__(text)
        self.setFont(font_of(14, bold=True))
        self.setTextFormat(QtCore.Qt.TextFormat.AutoText)
        self.setWordWrap(True)
        policy = QtWidgets.QSizePolicy.Policy
        self.setSizePolicy(policy.Ignored, policy.Fixed)

    def resizeEvent(self, event: QtGui.QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """As high as its words are at this width."""
        super().resizeEvent(event)
        self.setFixedHeight(self.heightForWidth(event.size().width()))
