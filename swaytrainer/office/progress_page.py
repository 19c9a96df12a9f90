"""Who moves, who is stuck, and one page for a vaulter and the parents."""

from __future__ import annotations

from collections.abc import Callable

from PySide6 import QtWidgets

from swaytrainer.office import orders
from swaytrainer.office.orders import Order
from swaytrainer.office.page import Page, button
from swaytrainer.office.runner import Runner
from swaytrainer.office.word_form import WordForm
from swaytrainer.store.history import History
from swaytrainer.store.home import Home, slug
from swaytrainer.words import tr

#: One long name must not push all else out of sight.
_WIDEST_PX = 380


class ProgressPage(Page):
    """The squad's table, one vaulter's numbers, and reports."""

    HELP = (
        "“Real change” is said only beyond the ordinary day-to-day scatter, at equal terms; it"
        " takes at least three days against three. A report is one page with the picture of the"
        " soles, three findings and the next step; your own sentence stands on it. As HTML it"
        " needs no network, as PDF it prints in grey. “The coach's word” sets somebody's level"
        " from now on: it goes before what the ladder suggests."
    )

    def __init__(self, runner: Runner, home: Home) -> None:
        super().__init__(runner)
        self._home = home
        self.names = QtWidgets.QComboBox()
        self.names.setMinimumWidth(180)
        self.names.setMaximumWidth(_WIDEST_PX)
        self.names.activated.connect(lambda _: self._chosen())
        self.sentence = QtWidgets.QLineEdit()
        self.sentence.setPlaceholderText(tr("Your sentence for the report, if you like"))
        self.sentence.setMinimumWidth(420)
        self.row(
            button("The squad", lambda: self.ask(orders.PROGRESS)),
            button("The squad's sheet …", lambda: self.report(None)),
            button("The table as CSV …", self._table),
        )
        self.row(
            self.names,
            button("How it goes", lambda: self._ask_of(orders.progress_of)),
            button("What comes next", lambda: self._ask_of(orders.next_of)),
            button("The coach's word …", self._word),
        )
        self.row(
            button("Report …", lambda: self.report(self.names.currentText() or None)),
            self.sentence,
        )
        self.column.addWidget(self.said, 1)

    def refresh(self) -> None:
        """Read the names; the squad's table, where nothing was asked yet."""

        def read() -> None:
            before = self.names.currentText()
            self.names.clear()
            self.names.addItems([v.name for v in self._home.vaulters()])
            self.names.setCurrentText(before)

        if self.trying(read) and self.names.count() and not self.said.toPlainText():
            # What a coach opens the page for.
            self.ask(orders.PROGRESS)

    def _chosen(self) -> None:
        """Somebody else: what was typed and told is of the one before."""
        self.sentence.clear()
        self._ask_of(orders.progress_of)

    def _ask_of(self, order: Callable[[str], Order]) -> None:
        if self.names.currentText():
            self.ask(order(self.names.currentText()))

    def _table(self) -> None:
        path = self.new_file("The table as CSV", "squad.csv", "CSV (*.csv)")
        if path is not None:
            self.ask(orders.table(path))

    def _word(self) -> None:
        def ask() -> None:
            form = self.word_form()
            if form is not None:
                form.exec()

        self.trying(ask)

    def word_form(self) -> WordForm | None:
        """The form for the coach's word on who is chosen; None where nobody is.

        Raises:
            SwaytrainerError: a file of the data folder can't be used.
        """
        name = self.names.currentText()
        if not name:
            return None
        # Where she is: by the newest trial, or by what was said since.
        told = [(word.made, word.level_id) for word in self._home.coach_words(name)]
        told += [(tried.made, tried.level.id) for tried in History(self._home).of(name)]
        return WordForm(
            self,
            name,
            self._home.level_shelf().levels,
            max(told)[1] if told else None,
            lambda level, note: self.ask(orders.coach_word(name, level, note)),
        )

    def report(self, name: str | None) -> None:
        """A page about somebody, or about the squad (None)."""
        path = self.new_file(
            "The report", f"{slug(name or 'squad')}.pdf", "PDF (*.pdf);;HTML (*.html)"
        )
        if path is not None:
            self.ask(orders.report(name, path, self.sentence.text().strip()))
