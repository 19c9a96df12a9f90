"""One group of tonight's plan: who is in it, what they do, for how long, at which board."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6 import QtCore, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.forms import Form, NameList
from swaytrainer.office.page import button, label
from swaytrainer.squad.plan import MINUTES_LIMITS, Group
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import say, tr

_ID = QtCore.Qt.ItemDataRole.UserRole


def level_words(level: Level) -> str:
    """A level's title, and whether somebody must stand by."""
    title = tr(level.title)
    return f"{title} ({tr(say('with a spotter'))})" if needs_spotter(level) else title


class GroupForm(Form):
    """A group's fields.

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
        super().__init__(parent, "A group")
        self._keep = keep
        self.resize(900, 600)
        self.name = QtWidgets.QLineEdit(group.name)
        self.minutes = QtWidgets.QDoubleSpinBox()
        self.minutes.setRange(*MINUTES_LIMITS)
        self.minutes.setDecimals(1)
        self.minutes.setSuffix(tr(" min"))
        self.minutes.setValue(group.minutes)
        self.station = QtWidgets.QLineEdit(group.station)
        self.station.setPlaceholderText(tr("Only with several boards: the one that calls them"))
        self.vaulters = NameList(group.vaulters, vaulters)
        self.levels = QtWidgets.QListWidget()
        self.levels.setDragDropMode(QtWidgets.QAbstractItemView.DragDropMode.InternalMove)
        self._titles = {level.id: level_words(level) for level in levels}
        for each in group.levels:
            self._list_level(each)
        self.choice = QtWidgets.QComboBox()
        for level in levels:
            self.choice.addItem(level_words(level), level.id)
        self._lay_out()
        self.end_with()

    def _lay_out(self) -> None:
        lines = QtWidgets.QFormLayout()
        lines.addRow(tr("Name"), self.name)
        lines.addRow(tr("On the board, at most, each"), self.minutes)
        lines.addRow(tr("Station"), self.station)
        lists = QtWidgets.QGridLayout()
        lists.addWidget(label("Who: called from top to bottom; drag to change the order"), 0, 0)
        lists.addWidget(self.vaulters, 1, 0)
        moves = QtWidgets.QHBoxLayout()
        moves.addWidget(button("Up", lambda: self.vaulters.shift(-1)))
        moves.addWidget(button("Down", lambda: self.vaulters.shift(1)))
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
        self.column.addLayout(lines)
        self.column.addLayout(lists, 1)

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
        levels = (self.levels.item(row) for row in range(self.levels.count()))
        return Group(
            self.name.text().strip(),
            self.vaulters.chosen(),
            tuple(item.data(_ID) for item in levels),
            self.minutes.value(),
            self.station.text().strip(),
        )

    def keep(self) -> None:
        """Keep it, if it is a group."""
        group = self.group()
        if not group.name or not group.vaulters:
            raise SwaytrainerError(
                say("A group needs a name, and somebody who is in it."), say("Add what is missing.")
            )
        self._keep(group)
