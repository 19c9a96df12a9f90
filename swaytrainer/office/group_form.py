"""One group of tonight's plan: who is in it, what they do, for how long, at which board."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6 import QtCore, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.page import button, label
from swaytrainer.office.style import TROUBLE
from swaytrainer.squad.plan import MINUTES_LIMITS, Group
from swaytrainer.training.level import Level
from swaytrainer.words import short, tr, translated

_CHECKED = QtCore.Qt.CheckState.Checked
_ID = QtCore.Qt.ItemDataRole.UserRole
#: Letters of a name in a list: a longer one must not widen the dialog past the screen.
_WIDEST = 40


class GroupForm(QtWidgets.QDialog):
    """A group's fields; closes only with what can be kept.

    Args:
        parent: the page.
        group: to begin with.
        vaulters: all who are listed, each with the name of the group that she is in, or empty.
        levels: all that there are.
        keep: keeps what was chosen.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        group: Group,
        vaulters: Sequence[tuple[str, str]],
        levels: Sequence[Level],
        keep: Callable[[Group], None],
    ) -> None:
        super().__init__(parent)
        self._keep = keep
        self.setWindowTitle(tr("A group"))
        self.resize(900, 600)
        self.name = QtWidgets.QLineEdit(group.name)
        self.minutes = QtWidgets.QDoubleSpinBox()
        self.minutes.setRange(*MINUTES_LIMITS)
        self.minutes.setDecimals(1)
        self.minutes.setSuffix(tr(" min"))
        self.minutes.setValue(group.minutes)
        self.station = QtWidgets.QLineEdit(group.station)
        self.station.setPlaceholderText(tr("Only with several boards: the one that calls them"))
        self.vaulters = QtWidgets.QListWidget()
        self.vaulters.setHorizontalScrollBarPolicy(QtCore.Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.vaulters.setDragDropMode(QtWidgets.QAbstractItemView.DragDropMode.InternalMove)
        others = [(name, of) for name, of in vaulters if name not in group.vaulters]
        for name, of in [*((name, "") for name in group.vaulters), *others]:
            self._list_vaulter(name, of, name in group.vaulters)
        self.levels = QtWidgets.QListWidget()
        self.levels.setDragDropMode(QtWidgets.QAbstractItemView.DragDropMode.InternalMove)
        self._titles = {level.id: tr(level.title) for level in levels}
        for each in group.levels:
            self._list_level(each)
        self.choice = QtWidgets.QComboBox()
        for level in levels:
            self.choice.addItem(tr(level.title), level.id)
        self.trouble = QtWidgets.QLabel()
        self.trouble.setWordWrap(True)
        self.trouble.setStyleSheet(TROUBLE)
        self._lay_out()

    def _lay_out(self) -> None:
        lines = QtWidgets.QFormLayout()
        lines.addRow(tr("Name"), self.name)
        lines.addRow(tr("On the board, at most, each"), self.minutes)
        lines.addRow(tr("Station"), self.station)
        lists = QtWidgets.QGridLayout()
        lists.addWidget(label("Who: called from top to bottom; drag to change the order"), 0, 0)
        lists.addWidget(self.vaulters, 1, 0)
        moves = QtWidgets.QHBoxLayout()
        moves.addWidget(button("Up", lambda: _move(self.vaulters, -1)))
        moves.addWidget(button("Down", lambda: _move(self.vaulters, 1)))
        lists.addLayout(moves, 2, 0)
        lists.addWidget(label("What, in this order; none: what the ladder says"), 0, 1)
        lists.addWidget(self.levels, 1, 1)
        below = QtWidgets.QHBoxLayout()
        below.addWidget(self.choice, 1)
        below.addWidget(button("Add this level", self._add_level))
        below.addWidget(button("Take out", self._take_level))
        lists.addLayout(below, 2, 1)
        lists.setColumnStretch(0, 1)
        lists.setColumnStretch(1, 1)
        buttons = QtWidgets.QDialogButtonBox()
        keep_button = buttons.addButton(
            tr("Keep"), QtWidgets.QDialogButtonBox.ButtonRole.AcceptRole
        )
        keep_button.setDefault(True)
        buttons.addButton(tr("Give up"), QtWidgets.QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QtWidgets.QVBoxLayout(self)
        column.addLayout(lines)
        column.addLayout(lists, 1)
        column.addWidget(self.trouble)
        column.addWidget(buttons)

    def _list_vaulter(self, name: str, of: str, chosen: bool) -> None:
        shown = short(name, _WIDEST)
        if of:
            shown = translated("{name} (now in {group})", name=shown, group=short(of, _WIDEST))
        item = QtWidgets.QListWidgetItem(shown)
        item.setData(_ID, name)
        item.setToolTip(name)
        item.setCheckState(_CHECKED if chosen else QtCore.Qt.CheckState.Unchecked)
        self.vaulters.addItem(item)

    def _list_level(self, name: str) -> None:
        item = QtWidgets.QListWidgetItem(self._titles.get(name, name))
        item.setData(_ID, name)
        self.levels.addItem(item)

    def _add_level(self) -> None:
        self._list_level(self.choice.currentData())

    def _take_level(self) -> None:
        self.levels.takeItem(self.levels.currentRow())

    def group(self) -> Group:
        """What is chosen now."""
        return Group(
            self.name.text().strip(),
            tuple(
                item.data(_ID) for item in _items(self.vaulters) if item.checkState() == _CHECKED
            ),
            tuple(item.data(_ID) for item in _items(self.levels)),
            self.minutes.value(),
            self.station.text().strip(),
        )

    def accept(self) -> None:
        """Keep it, or say what is wrong."""
        group = self.group()
        if not group.name or not group.vaulters:
            self.trouble.setText(tr("A group needs a name, and somebody who is in it."))
            return
        try:
            self._keep(group)
        except SwaytrainerError as error:
            self.trouble.setText(f"{tr(error.what)} {tr(error.remedy)}")
            return
        super().accept()


def _items(of: QtWidgets.QListWidget) -> list[QtWidgets.QListWidgetItem]:
    return [of.item(row) for row in range(of.count())]


def _move(of: QtWidgets.QListWidget, by: int) -> None:
    row = of.currentRow()
    if 0 <= row < of.count() and 0 <= row + by < of.count():
        item = of.takeItem(row)
        of.insertItem(row + by, item)
        of.setCurrentRow(row + by)
