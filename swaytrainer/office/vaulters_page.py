"""Who is in the squad: a table to add to and to change."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from PySide6 import QtWidgets

from swaytrainer.office import orders
from swaytrainer.office.form import COLUMNS, texts_of, vaulter_of
from swaytrainer.office.forms import Form
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.store.home import Home, slug
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say, short, tr


class VaulterForm(Form):
    """One vaulter's fields.

    Args:
        parent: the page.
        vaulter: who is changed; None for somebody new.
        keep: keeps what was typed.
    """

    def __init__(
        self,
        parent: QtWidgets.QWidget,
        vaulter: Vaulter | None,
        keep: Callable[[Vaulter], None],
    ) -> None:
        super().__init__(parent, "A vaulter")
        self._keep = keep
        self.fields: list[QtWidgets.QLineEdit] = []
        lines = QtWidgets.QFormLayout()
        self.column.addLayout(lines)
        texts = texts_of(vaulter) if vaulter else ("",) * len(COLUMNS)
        for asked, text in zip(COLUMNS, texts, strict=True):
            field = QtWidgets.QLineEdit(text)
            hint = tr(asked.hint)
            field.setPlaceholderText(hint)
            field.setMinimumWidth(max(420, field.fontMetrics().horizontalAdvance(hint) + 40))
            # Under another name it would be another person: recordings bear the old one.
            field.setReadOnly(vaulter is not None and asked.field == "name")
            lines.addRow(tr(asked.title), field)
            self.fields.append(field)
        self.end_with(label("The caution can be read on the gym's screen by everybody there."))

    def keep(self) -> None:
        """Keep who was typed.

        Raises:
            SwaytrainerError: a value can't be, or the name is another's.
        """
        year = datetime.now().astimezone().year
        self._keep(vaulter_of(tuple(field.text() for field in self.fields), year))


_WIDEST_PX = 260
#: Letters of a name in a question.
_WIDEST = 60


class VaultersPage(Page):
    """The list, and what can be done with one of it."""

    HELP = (
        "One line a vaulter; a double click changes it. A pseudonym suffices: it stays on this"
        " machine. The foot's length is what the toe share is reckoned with; feet grow. All of a"
        " vaulter's data can be handed out or erased here; erasing can't be undone."
    )

    def __init__(self, runner: Runner, home: Home) -> None:
        super().__init__(runner)
        self._home = home
        self.table = QtWidgets.QTableWidget(0, len(COLUMNS))
        self.table.setHorizontalHeaderLabels([tr(column.title) for column in COLUMNS])
        self.table.setEditTriggers(QtWidgets.QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QtWidgets.QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QtWidgets.QAbstractItemView.SelectionMode.SingleSelection)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.cellDoubleClicked.connect(lambda *_: self.change())
        self.row(
            button("Add a vaulter", self.add),
            button("Change", self.change),
            button("Hand out all data …", self.hand_out),
            button("Erase all data …", self.erase),
        )
        self.column.addWidget(self.table, 3)
        self.column.addWidget(self.said, 1)
        self._vaulters: list[Vaulter] = []

    def refresh(self) -> None:
        """Read the list."""
        self.trying(self._read)

    def _read(self) -> None:
        self._vaulters = self._home.vaulters()
        self.table.setRowCount(len(self._vaulters))
        for row, vaulter in enumerate(self._vaulters):
            for column, text in enumerate(texts_of(vaulter)):
                self.table.setItem(row, column, QtWidgets.QTableWidgetItem(text))
        self.table.resizeColumnsToContents()
        for column in range(len(COLUMNS)):
            # One long name must not push all else out of sight.
            width = min(self.table.columnWidth(column), _WIDEST_PX)
            self.table.setColumnWidth(column, width)
        if not self._vaulters:
            self.tell("Nobody is in the list yet: add your vaulters, a pseudonym suffices.")

    def chosen(self) -> Vaulter | None:
        """Whose line is chosen."""
        row = self.table.currentRow()
        if 0 <= row < len(self._vaulters):
            return self._vaulters[row]
        self.tell("Choose a line first.")
        return None

    def add(self) -> None:
        """Somebody new."""
        self.form(None).exec()
        self.refresh()

    def change(self) -> None:
        """Other values for somebody."""
        vaulter = self.chosen()
        if vaulter is not None:
            self.form(vaulter).exec()
            self.refresh()

    def form(self, vaulter: Vaulter | None) -> VaulterForm:
        """The form for one of the list, or for somebody new (None)."""
        year = datetime.now().astimezone().year

        def keep(wanted: Vaulter) -> None:
            if vaulter is None:
                self._home.add_vaulter(wanted, year)
            else:
                self._home.change_vaulter(wanted, year)

        return VaulterForm(self, vaulter, keep)

    def hand_out(self) -> None:
        """All that is kept of somebody, as one zip."""
        vaulter = self.chosen()
        if vaulter is not None:
            path = self.new_file("Hand out all data", f"{slug(vaulter.name)}.zip", "Zip (*.zip)")
            if path is not None:
                self.ask(orders.hand_out(vaulter.name, path))

    def erase(self) -> None:
        """All of it gone, after the name was typed."""
        vaulter = self.chosen()
        if vaulter is None:
            return
        question = say(
            "All of {name}'s recordings and entries are erased for good. Type the name to go on:",
            name=Name(short(vaulter.name, _WIDEST)),
        )
        again = self.typed("Erase all data", question)
        if again != vaulter.name:
            self.tell("Nothing was erased.")
            return
        self.ask(orders.erase(vaulter.name), lambda _well: self._read())
