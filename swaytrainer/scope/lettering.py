"""Text that changes often: it is painted into a place of fixed size.

A label asks the whole window for its place anew whenever its text changes, and with that every plot
is painted twice. These never do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.scope import colours

_ALIGNED: Final = QtCore.Qt.AlignmentFlag.AlignLeft | QtCore.Qt.AlignmentFlag.AlignTop
_GAP_PX: Final = 8


def font_of(pixels: int, bold: bool = False) -> QtGui.QFont:
    """The window's font in a size."""
    font = QtGui.QFont()
    font.setPixelSize(pixels)
    font.setBold(bold)
    return font


class Words(QtWidgets.QWidget):
    """A sentence or two, wrapped within a fixed number of lines.

    Args:
        pixels: height of the font.
        lines: so many fit; what is beyond ends in "…", and is told whole to a mouse that rests.
        bold: from the beginning.
        fits: said at once, in a place that is as wide as this.
    """

    def __init__(self, pixels: int, lines: int = 1, bold: bool = False, fits: str = "") -> None:
        super().__init__()
        self._text, self._colour, self._most = fits, colours.INK, lines
        self._broken: tuple[str, int, bool] = ("", 0, bold)
        self._lines: list[str] = []
        self.setFont(font_of(pixels, bold))
        self.setFixedHeight(lines * self.fontMetrics().lineSpacing() + 2)
        if fits:
            self.setAccessibleName(fits)
            self.setFixedWidth(self.fontMetrics().horizontalAdvance(fits) + 2)
        self.setAttribute(QtCore.Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def text(self) -> str:
        """What it says now."""
        return self._text

    def say(self, text: str, colour: str = colours.INK, bold: bool | None = None) -> None:
        """Say something else; nothing happens if it is said already."""
        if bold is not None and bold != self.font().bold():
            self.setFont(font_of(self.font().pixelSize(), bold))
        if (text, colour) != (self._text, self._colour):
            self._text, self._colour = text, colour
            self.setAccessibleName(text)
            self.update()

    def paintEvent(self, *_event: QtGui.QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint."""
        painter = QtGui.QPainter(self)
        painter.fillRect(self.rect(), QtGui.QColor(colours.PAPER))
        painter.setPen(QtGui.QColor(self._colour))
        metrics = self.fontMetrics()
        for n, line in enumerate(self.lines()):
            painter.drawText(0, n * metrics.lineSpacing() + metrics.ascent(), line)
        painter.end()

    def lines(self) -> list[str]:
        """What can be read, line by line."""
        wanted = (self._text, self.width(), self.font().bold())
        if wanted != self._broken:
            self._broken = wanted
            self._lines = broken(self._text, self.width(), self._most, self.fontMetrics())
            whole = " ".join(self._lines) == self._text
            self.setToolTip("" if whole else self._text)
        return self._lines


def broken(text: str, width: int, most: int, metrics: QtGui.QFontMetrics) -> list[str]:
    """A text in lines of a width in pixels, ``most`` of them; the last ends in "…" if need be."""
    lines: list[str] = []
    waiting = text.split(" ")  # two blanks part what does not belong together
    while waiting and text:
        if len(lines) + 1 == most:
            elide = QtCore.Qt.TextElideMode.ElideRight
            return [*lines, metrics.elidedText(" ".join(waiting), elide, width)]
        fits = 1
        while (
            fits < len(waiting)
            and metrics.horizontalAdvance(" ".join(waiting[: fits + 1])) <= width
        ):
            fits += 1
        lines.append(" ".join(waiting[:fits]))
        waiting = waiting[fits:]
    return lines


class Figures(QtWidgets.QWidget):
    """A row of large numbers, each under its name and with its unit in small behind it.

    Args:
        small_px, large_px: heights of the two fonts.
    """

    def __init__(self, small_px: int = 15, large_px: int = 26) -> None:
        super().__init__()
        self._small, self._large = font_of(small_px), font_of(large_px, bold=True)
        self._name_high = QtGui.QFontMetrics(self._small).lineSpacing()
        self._value_high = QtGui.QFontMetrics(self._large).lineSpacing()
        self._values: list[tuple[str, str]] = []
        self.setFixedHeight(self._name_high + self._value_high + 2)
        self.setAttribute(QtCore.Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def values(self) -> list[tuple[str, str]]:
        """What it shows now: (name, value with its unit)."""
        return self._values

    def show_them(self, values: Sequence[tuple[str, str]]) -> None:
        """Show other numbers; nothing happens if these are shown already."""
        if list(values) == self._values:
            return
        self._values = list(values)
        self.setAccessibleName(", ".join(f"{name} {value}" for name, value in values))
        self.update()

    def paintEvent(self, *_event: QtGui.QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Paint."""
        painter = QtGui.QPainter(self)
        painter.fillRect(self.rect(), QtGui.QColor(colours.PAPER))
        wide = self.width() // max(1, len(self._values))
        ascent = self._name_high + QtGui.QFontMetrics(self._large).ascent()
        for n, (name, value) in enumerate(self._values):
            left = n * wide
            amount, _, unit = value.partition(" ")
            painter.setFont(self._small)
            painter.setPen(QtGui.QColor(colours.GREY))
            room = QtCore.QRect(left, 0, wide - _GAP_PX, self._name_high)
            painter.drawText(room, int(_ALIGNED.value), name)
            behind = left + QtGui.QFontMetrics(self._large).horizontalAdvance(amount)
            painter.drawText(behind + 5, ascent, unit)
            painter.setFont(self._large)
            painter.setPen(QtGui.QColor(colours.INK))
            painter.drawText(left, ascent, amount)
        painter.end()
