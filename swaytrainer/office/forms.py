"""What the desk's forms are made of: a dialog, a list of names, a table of lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from PySide6 import QtCore, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.page import button
from swaytrainer.office.style import TROUBLE
from swaytrainer.words import short, tr, translated

_CHECKED = QtCore.Qt.CheckState.Checked
_ID = QtCore.Qt.ItemDataRole.UserRole
#: Letters of a name in a list: a longer one must not widen the dialog past the screen.
WIDEST = 40
#: Height of what a form says below: some six lines.
_BELOW_PX = 130
_WIDEST_PX = 380


def narrow(words: QtWidgets.QLabel) -> None:
    """Whatever stands in it, it makes nothing wider: one long name has no place to break."""
    words.setSizePolicy(
        QtWidgets.QSizePolicy.Policy.Ignored, QtWidgets.QSizePolicy.Policy.Preferred
    )


class Below(QtWidgets.QScrollArea):
    """Words below a form that scroll where there are many: the form above keeps its place.

    Args:
        words: them.
    """

    def __init__(self, words: QtWidgets.QLabel) -> None:
        super().__init__()
        narrow(words)
        words.setAlignment(QtCore.Qt.AlignmentFlag.AlignTop)
        self.setWidget(words)
        self.setWidgetResizable(True)
        self.setFrameShape(QtWidgets.QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(QtCore.Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFixedHeight(_BELOW_PX)


class NameList(QtWidgets.QListWidget):
    """Names with a mark at those that are in; drag to change the order.

    Args:
        chosen: who is in, in order.
        others: who else there is, each with a note (where she is now), or empty.
    """

    def __init__(self, chosen: Sequence[str], others: Iterable[tuple[str, str]]) -> None:
        super().__init__()
        self.setHorizontalScrollBarPolicy(QtCore.Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setDragDropMode(QtWidgets.QAbstractItemView.DragDropMode.InternalMove)
        for name in chosen:
            self._add(name, "", _CHECKED)
        for name, note in others:
            if name not in chosen:
                self._add(name, note, QtCore.Qt.CheckState.Unchecked)

    def _add(self, name: str, note: str, state: QtCore.Qt.CheckState) -> None:
        shown = short(name, WIDEST)
        if note:
            shown = translated("{name} (now in {group})", name=shown, group=short(note, WIDEST))
        item = QtWidgets.QListWidgetItem(shown)
        item.setData(_ID, name)
        item.setToolTip(name)
        item.setCheckState(state)
        self.addItem(item)

    def chosen(self) -> tuple[str, ...]:
        """Who is in, from top to bottom."""
        items = (self.item(row) for row in range(self.count()))
        return tuple(item.data(_ID) for item in items if item.checkState() == _CHECKED)

    def shift(self, by: int) -> None:
        """Put the current line further up (−1) or down (1)."""
        row = self.currentRow()
        if 0 <= row < self.count() and 0 <= row + by < self.count():
            item = self.takeItem(row)
            self.insertItem(row + by, item)
            self.setCurrentRow(row + by)


class Form(QtWidgets.QDialog):
    """A dialog that closes only with what can be kept.

    Args:
        parent: the page, or another form.
        title: of the window.
    """

    def __init__(self, parent: QtWidgets.QWidget, title: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr(title))
        self.column = QtWidgets.QVBoxLayout(self)
        self.trouble = QtWidgets.QLabel()
        self.trouble.setTextFormat(QtCore.Qt.TextFormat.PlainText)
        self.trouble.setWordWrap(True)
        narrow(self.trouble)
        self.trouble.setStyleSheet(TROUBLE)
        self.buttons = QtWidgets.QDialogButtonBox()
        self.keep_button = self.buttons.addButton(
            tr("Keep"), QtWidgets.QDialogButtonBox.ButtonRole.AcceptRole
        )
        self.keep_button.setDefault(True)
        self.buttons.addButton(tr("Give up"), QtWidgets.QDialogButtonBox.ButtonRole.RejectRole)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)

    def end_with(self, *widgets: QtWidgets.QWidget) -> None:
        """Put the place for what is wrong, these widgets and the buttons below what is there."""
        for widget in (self.trouble, *widgets, self.buttons):
            self.column.addWidget(widget)

    def keep(self) -> None:
        """Keep what stands in the form.

        Raises:
            SwaytrainerError: it can't be kept.
        """

    def accept(self) -> None:
        """Keep it, or say what is wrong."""
        try:
            self.keep()
        except SwaytrainerError as error:
            self.trouble.setText(f"{tr(error.what)} {tr(error.remedy)}")
            # What is wrong may take more lines than there were.
            needed = self.column.totalHeightForWidth(self.width())
            self.resize(self.width(), max(self.height(), needed))
            return
        super().accept()


class Lines(QtWidgets.QWidget):
    """A table of lines, each changed in a form, taken out, or moved; a double click changes it.

    Args:
        heads: above the columns.
        add, change: what opens the form for a new line, or for the one of a row; None where lines
            are only taken out.
        changed: told the rows that there are now, as places of the lines before.
    """

    def __init__(
        self,
        heads: Sequence[str],
        changed: Callable[[list[int]], None],
        add: Callable[[], None] | None = None,
        change: Callable[[int], None] | None = None,
    ) -> None:
        super().__init__()
        self._changed = changed
        self.table = QtWidgets.QTableWidget(0, len(heads))
        self.table.setHorizontalHeaderLabels([tr(head) for head in heads])
        self.table.setEditTriggers(QtWidgets.QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QtWidgets.QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QtWidgets.QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setWordWrap(False)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setStretchLastSection(True)
        row = QtWidgets.QHBoxLayout()
        if add is not None:
            row.addWidget(button("Add …", add))
        if change is not None:
            self.table.cellDoubleClicked.connect(lambda at, _: change(at))
            row.addWidget(button("Change it …", lambda: self._do(change)))
        row.addWidget(button("Take it out", lambda: self._do(self._take_out)))
        if change is not None:
            row.addWidget(button("Up", lambda: self._do(lambda at: self._move(at, -1))))
            row.addWidget(button("Down", lambda: self._do(lambda at: self._move(at, 1))))
        row.addStretch(1)
        column = QtWidgets.QVBoxLayout(self)
        column.addLayout(row)
        column.addWidget(self.table)

    def show_lines(self, lines: Sequence[Sequence[str]]) -> None:
        """Put these into the table."""
        at = self.table.currentRow()
        self.table.setRowCount(len(lines))
        for n, cells in enumerate(lines):
            for column, words in enumerate(cells):
                item = QtWidgets.QTableWidgetItem(words)
                item.setToolTip(words)
                self.table.setItem(n, column, item)
        self.table.resizeColumnsToContents()
        for column in range(self.table.columnCount()):
            # One long name must not push all else out of sight.
            self.table.setColumnWidth(column, min(self.table.columnWidth(column), _WIDEST_PX))
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.setCurrentCell(min(at, len(lines) - 1), 0)

    def _do(self, what: Callable[[int], None]) -> None:
        at = self.table.currentRow()
        if 0 <= at < self.table.rowCount():
            what(at)

    def _take_out(self, at: int) -> None:
        self._changed([n for n in range(self.table.rowCount()) if n != at])

    def _move(self, at: int, by: int) -> None:
        order = list(range(self.table.rowCount()))
        if 0 <= at + by < len(order):
            order.insert(at + by, order.pop(at))
            self._changed(order)
            self.table.setCurrentCell(at + by, 0)
