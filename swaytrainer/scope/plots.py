"""The window's plots: soles, curves over time, spectrum. They draw what they are given."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import pyqtgraph as pg
from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.scope import colours
from swaytrainer.scope.curves import Drawn
from swaytrainer.scope.gaze import scale
from swaytrainer.scope.watched import CLOUD_S, Cloud, Spectra
from swaytrainer.sway.feet import BALL_SHARE, HEEL_SHARE, Feet
from swaytrainer.words import number, say, tr

_FONT_PX: Final = 14
_MOST_OF_A_CLOUD: Final = 1000


def pen(colour: str, width: float = 1.0, dashed: bool = False) -> QtGui.QPen:
    """A cosmetic pen."""
    style = QtCore.Qt.PenStyle.DashLine if dashed else QtCore.Qt.PenStyle.SolidLine
    made: QtGui.QPen = pg.mkPen(colour, width=width, style=style)
    return made


class Line(pg.PlotCurveItem):  # type: ignore[misc]  # pyqtgraph has no types
    """A line that says it fills the plot.

    The plots' scales are set, never found from what they hold: to ask each curve for its bounds
    at every change would take longer than to draw it.
    """

    def dataBounds(self, *_: object, **__: object) -> tuple[None, None]:  # noqa: N802 - Qt's name
        """None: no scale follows this line."""
        return None, None

    def pixelPadding(self) -> float:  # noqa: N802 - Qt's name
        """None beyond the plot."""
        return 0.0

    def viewTransformChanged(self) -> None:  # noqa: N802 - Qt's name
        """The plot shows another stretch, so the line has other bounds."""
        pg.GraphicsObject.viewTransformChanged(self)
        self.prepareGeometryChange()

    def boundingRect(self) -> QtCore.QRectF:  # noqa: N802 - Qt's name
        """The whole plot."""
        view: QtCore.QRectF = self.viewRect()
        return view


def new_line(colour: str, width: float = 1.0) -> Line:
    """A line. It is drawn segment by segment: whole paths leak memory in some releases of Qt."""
    line = Line(pen=pen(colour, width), connect="finite", skipFiniteCheck=False)
    line.setSegmentedLineMode("on")
    return line


class Axis(pg.AxisItem):  # type: ignore[misc]
    """An axis whose numbers have the decimal sign of the language in use."""

    def tickStrings(self, *args: object, **more: object) -> list[str]:  # noqa: N802
        """The numbers."""
        sign = number(0.5, ".1f")[1]
        told: list[str] = super().tickStrings(*args, **more)
        return [text.replace(".", sign) for text in told]


def new_plot(name: str) -> pg.PlotWidget:
    """An empty plot in the window's manner: no mouse, no menus; keys move all plots together."""
    axes = {side: Axis(side) for side in ("left", "bottom")}
    plot = pg.PlotWidget(background=colours.PAPER, axisItems=axes)
    item = plot.getPlotItem()
    item.hideButtons()
    item.setMenuEnabled(False)
    item.layout.setContentsMargins(0, 8, 10, 0)  # the topmost number is not cut
    item.setMouseEnabled(x=False, y=False)
    item.vb.disableAutoRange()
    font = QtGui.QFont()
    font.setPixelSize(_FONT_PX)
    for side in ("left", "bottom"):
        axis = item.getAxis(side)
        axis.setPen(pen(colours.GREY))
        axis.setTextPen(pen(colours.INK))
        axis.setTickFont(font)
        axis.enableAutoSIPrefix(False)
    item.getAxis("left").setWidth(56)
    plot.setViewportUpdateMode(QtWidgets.QGraphicsView.ViewportUpdateMode.FullViewportUpdate)
    plot.setAccessibleName(name)
    plot.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
    return plot


def settle(plot: pg.PlotWidget) -> None:
    """Take a new scale now: taken while it is painted, it would have all be painted twice."""
    plot.scene().prepareForPaint()


def coloured(name: str, colour: str) -> str:
    """A curve's name in its own colour, for a title."""
    return f'<span style="color:{colour}">{name}</span>'


class TimePlot:
    """Some curves over time with one scale.

    Args:
        title: what they are, with the unit.
        curves: key of ``Curves``, name, colour.
        least: smallest height of the scale, in the unit.
        limits: a fixed scale, None for one that holds what is shown.
        below: a scale that holds this value.
        bursts: a few high bursts may leave the top: the scale holds twice of what nine tenths of
            the stretch stay below.
    """

    def __init__(
        self,
        title: str,
        curves: Sequence[tuple[str, str, str]],
        least: float,
        limits: tuple[float, float] | None = None,
        below: float = math.inf,
        bursts: bool = False,
    ) -> None:
        names = " &nbsp; ".join(coloured(name, colour) for _, name, colour in curves)
        self.title = f"{title} &nbsp; {names}"
        self.widget = new_plot(title)
        self.keys = [key for key, _, _ in curves]
        self.least, self.limits, self.below = least, limits, below
        self._bursts = bursts
        self._lines = {}
        for key, _, colour in curves:
            line = new_line(colour)
            self.widget.addItem(line)
            self._lines[key] = line
        self._range: tuple[float, float, float, float] | None = None
        # All lines of one colour are one curve: hundreds of items would be slow to draw.
        self._marks = {
            colours.GREY: new_line(colours.GREY),
            colours.ORANGE: new_line(colours.ORANGE, 2.0),
            colours.PURPLE: new_line(colours.PURPLE, 2.0),
        }
        for line in self._marks.values():
            line.setZValue(-1)
            self.widget.addItem(line)
        self._marked: tuple[object, ...] = ()

    @property
    def columns(self) -> int:
        """Columns of pixels that there are for the curves."""
        return max(50, int(self.widget.getPlotItem().vb.width()))

    def hide_times(self) -> None:
        """Leave the numbers below out: the lowest of all plots has them."""
        item = self.widget.getPlotItem()
        item.hideAxis("bottom")
        item.layout.setContentsMargins(0, 8, 10, 8)

    def band(self, low: float, high: float) -> None:
        """A band behind the curves."""
        region = pg.LinearRegionItem(
            (low, high),
            orientation="horizontal",
            brush=pg.mkBrush(colours.BAND),
            pen=pen(colours.GREEN, dashed=True),
            movable=False,
        )
        region.setZValue(-10)
        self.widget.addItem(region)

    def reach(self, drawn: dict[str, Drawn]) -> tuple[float, float]:
        """Least and largest of what will be drawn; NaN where there is nothing."""
        low, high = math.inf, -math.inf
        for key in self.keys:
            values = drawn[key].values
            if values.size and np.isfinite(values).any():
                low = min(low, float(np.fmin.reduce(values)))
                most = float(np.fmax.reduce(values))
                if self._bursts:
                    most = min(most, 2.0 * float(np.nanquantile(values, 0.9)))
                high = max(high, most)
        return (low, high) if low <= high else (math.nan, math.nan)

    def draw(
        self,
        drawn: dict[str, Drawn],
        begin_s: float,
        stretch: tuple[float, float],
        reach: tuple[float, float],
    ) -> None:
        """Draw; ``reach`` is what the scale must hold (of both recordings, side by side)."""
        low, high = self.limits or scale(*reach, self.least, self.below)
        wanted = (*stretch, low, high)
        for key, line in self._lines.items():
            line.setData(drawn[key].time_s - begin_s, drawn[key].values)
        if wanted != self._range:
            self._range = wanted
            self.widget.setRange(xRange=stretch, yRange=(low, high), padding=0.0, update=False)
            settle(self.widget)

    def mark(self, marks: Sequence[tuple[float, str]]) -> None:
        """Upright lines at times (s since the beginning), after ``draw``; grey, orange, purple."""
        low, high = self._range[2:] if self._range is not None else (0.0, 1.0)
        wanted = (low, high, *marks)
        if wanted == self._marked:
            return
        self._marked = wanted
        for colour, line in self._marks.items():
            at = [at_s for at_s, of in marks if of == colour]
            line.setData(np.repeat(at, 3), np.tile([low, high, np.nan], len(at)))


class SolesPlot:
    """The COP of the last seconds on the soles, seen from above, with band and ellipse.

    Args:
        feet: where they stand.
        band_percent: lower and upper end of the level's band of the toe share.
        foot_length_mm: for the outline alone.
    """

    def __init__(
        self, feet: Feet, band_percent: tuple[float, float], foot_length_mm: float
    ) -> None:
        self.title = tr(say("On the soles, seen from above, mm; last {s:g} s", s=CLOUD_S))
        self.widget = new_plot(self.title)
        self.widget.setAspectLocked(True)
        half = 0.19 * foot_length_mm  # as broad as a foot is as a rule; for the eye alone
        lever = feet.ball_y_mm - feet.heel_y_mm
        heel_end = feet.heel_y_mm - HEEL_SHARE * lever / (BALL_SHARE - HEEL_SHARE)
        toe_end = feet.ball_y_mm + (1.0 - BALL_SHARE) * lever / (BALL_SHARE - HEEL_SHARE)
        for x in (feet.left_x_mm, feet.right_x_mm):
            self._sole(x, half, heel_end, toe_end)
        low, high = (feet.heel_y_mm + 0.01 * p * lever for p in band_percent)
        left, right = feet.left_x_mm - half, feet.right_x_mm + half
        band = QtGui.QPainterPath()
        band.addRect(left, low, right - left, high - low)
        self._shape(band, colours.BAND, colours.GREEN, -5, dashed=True)
        self._path = new_line(colours.BLUE)
        self._ellipse = new_line(colours.ORANGE, 2.0)
        self._now = pg.ScatterPlotItem(
            size=22, symbol="o", pen=pen(colours.INK, 2.0), brush=pg.mkBrush(None)
        )
        for item in (self._path, self._ellipse, self._now):
            self.widget.addItem(item)
        self._middle = ((left + right) / 2.0, (heel_end + toe_end) / 2.0)
        #: Width and height that hold both soles, mm.
        self.needs_mm = (right - left + 30.0, toe_end - heel_end + 30.0)
        self.hold(*self.needs_mm)
        self.widget.getPlotItem().vb.disableAutoRange()

    def hold(self, width_mm: float, height_mm: float) -> None:
        """Show so much about the soles' middle: the same of two that stand side by side."""
        x, y = self._middle
        self.widget.setRange(
            xRange=(x - width_mm / 2.0, x + width_mm / 2.0),
            yRange=(y - height_mm / 2.0, y + height_mm / 2.0),
            padding=0.0,
        )

    def _sole(self, x: float, half: float, heel: float, toe: float) -> None:
        path = QtGui.QPainterPath()
        path.addRoundedRect(x - half, heel, 2.0 * half, toe - heel, half, half)
        self._shape(path, colours.SOLE, colours.RULE, -10)

    def _shape(
        self, path: QtGui.QPainterPath, fill: str, edge: str, z: int, dashed: bool = False
    ) -> None:
        item = QtWidgets.QGraphicsPathItem(path)
        item.setBrush(pg.mkBrush(fill))
        item.setPen(pen(edge, dashed=dashed))
        item.setZValue(z)
        self.widget.addItem(item)

    def draw(self, cloud: Cloud) -> None:
        """Draw a cloud; its last sample is where the COP is now."""
        # The COP has passed a 10 Hz filter: of a fast board's samples a part shows its way.
        every = max(1, cloud.x_mm.size // _MOST_OF_A_CLOUD)
        self._path.setData(cloud.x_mm[::every], cloud.y_mm[::every])
        if cloud.x_mm.size and math.isfinite(cloud.x_mm[-1]) and math.isfinite(cloud.y_mm[-1]):
            self._now.setData([cloud.x_mm[-1]], [cloud.y_mm[-1]])
        else:
            self._now.setData([], [])
        e = cloud.ellipse
        if cloud.reason or not math.isfinite(e.ellipse_major_mm):
            self._ellipse.setData([], [])
            return
        turn = np.linspace(0.0, 2.0 * np.pi, 73)
        angle = math.radians(e.ellipse_angle_deg) if math.isfinite(e.ellipse_angle_deg) else 0.0
        a, b = e.ellipse_major_mm * np.cos(turn), e.ellipse_minor_mm * np.sin(turn)
        self._ellipse.setData(
            cloud.middle_x_mm + a * math.cos(angle) - b * math.sin(angle),
            cloud.middle_y_mm + a * math.sin(angle) + b * math.cos(angle),
        )


class SpectrumPlot:
    """Power density of both directions up to 5 Hz."""

    def __init__(self) -> None:
        across = coloured(tr(say("across")), colours.BLUE)
        along = coloured(tr(say("along")), colours.ORANGE)
        name = tr(say("Spectrum, mm²/Hz over Hz"))
        self.title = f"{name} &nbsp; {across} &nbsp; {along}"
        self.widget = new_plot(name)
        self._x, self._y = new_line(colours.BLUE), new_line(colours.ORANGE)
        self._drawn: Spectra | None = None
        self._top = math.nan
        self.widget.addItem(self._x)
        self.widget.addItem(self._y)
        self.widget.setRange(xRange=(0.0, 5.0), yRange=(0.0, 10.0), padding=0.0)

    @staticmethod
    def top(spectra: Spectra) -> float:
        """The largest density shown, NaN without one."""
        if spectra.reason:
            return math.nan
        return float(max(spectra.x_mm2_hz.max(), spectra.y_mm2_hz.max()))

    def draw(self, spectra: Spectra, top: float) -> None:
        """Draw, if it is another than before; the scale holds ``top``."""
        if spectra is self._drawn and top == self._top:
            return
        self._drawn, self._top = spectra, top
        shown = spectra.frequency_hz <= 5.0
        self._x.setData(spectra.frequency_hz[shown], spectra.x_mm2_hz[shown])
        self._y.setData(spectra.frequency_hz[shown], spectra.y_mm2_hz[shown])
        self.widget.setYRange(*scale(0.0, top, 1.0, 0.0), padding=0.0)
        settle(self.widget)
