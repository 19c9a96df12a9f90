"""Tonight's plan: groups and levels as the coach writes them, and the line as it stands."""

from __future__ import annotations

from pathlib import Path

from PySide6 import QtGui, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office import orders
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.squad.plan import FILE, Plan, plan_text, read_plan
from swaytrainer.store.home import Home, replace_file
from swaytrainer.words import say, tr


class EveningPage(Page):
    """The plan is checked while it is typed, and kept only when it is one."""

    HELP = (
        "Each [[group]] has its vaulters in the order in which they are called, the levels they do,"
        " and minutes on the board; without levels the ladder decides. Whoever isn't here goes to"
        " the end of the line. The gym takes a kept plan over by itself, also in mid-evening."
    )

    def __init__(self, runner: Runner, home: Home) -> None:
        super().__init__(runner)
        self._home = home
        self.text = QtWidgets.QPlainTextEdit()
        self.text.setFont(QtGui.QFontDatabase.systemFont(QtGui.QFontDatabase.SystemFont.FixedFont))
        self.text.setAccessibleName(tr("The plan"))
        self.text.textChanged.connect(self._check)
        self.state = label("")
        self.names = QtWidgets.QComboBox()
        self.names.setMinimumWidth(180)
        self.keep_button = button("Keep the plan", self.keep)
        self.levels = QtWidgets.QComboBox()
        self.levels.setAccessibleName(tr("A level"))
        self.levels.setMaximumWidth(340)
        self.row(
            self.keep_button,
            button("Undo all changes", self.refresh),
            self.levels,
            button("Write this level there", self._write_level, "Where the cursor stands"),
        )
        self.column.addWidget(self.text, 2)
        self.column.addWidget(self.state)
        self.row(
            self.names,
            button("Away tonight", lambda: self._happened("away")),
            button("Back", lambda: self._happened("back")),
            button("Called, not here", lambda: self._happened("missed")),
            button("How it stands", self._line),
        )
        self.column.addWidget(self.said, 2)

    @property
    def _path(self) -> Path:
        return self._home.path / FILE

    def refresh(self) -> None:
        """Read plan and names; without a plan, one to begin with."""
        self.trying(self._read)

    def _read(self) -> None:
        names = [v.name for v in self._home.vaulters()]
        self.names.clear()
        self.names.addItems(names)
        self.levels.clear()
        for level in self._home.level_shelf().levels:
            self.levels.addItem(tr(level.title), level.id)
        try:
            text = self._path.read_text(encoding="utf-8")
        except FileNotFoundError:
            text = plan_text(names) if names else ""
        except (OSError, UnicodeDecodeError) as error:
            raise SwaytrainerError(f"{self._path} can't be read: {error}.", "Look at it.") from None
        self.text.setPlainText(text)
        if not names:
            self.tell("Nobody is in the list yet: add your vaulters on the page before.")

    def _check(self) -> None:
        try:
            plan = self._plan()
        except SwaytrainerError as error:
            self.state.setText(f"{error.what}")
            self.keep_button.setEnabled(False)
            return
        many = len(plan.vaulters)
        self.state.setText(
            tr(say("A plan for {many} vaulters in {groups} groups. Minutes on the board in all:"
                   " {minutes:.0f}.", many=many, groups=len(plan.groups),
                   minutes=sum(g.minutes * len(g.vaulters) for g in plan.groups)))
        )  # fmt: skip
        self.keep_button.setEnabled(True)

    def _plan(self) -> Plan:
        shelf = self._home.level_shelf()
        names = [v.name for v in self._home.vaulters()]
        text = self.text.toPlainText()
        return read_plan(text, FILE, names, [level.id for level in shelf.levels])

    def _write_level(self) -> None:
        self.text.insertPlainText(f'"{self.levels.currentData()}"')
        self.text.setFocus()

    def keep(self) -> None:
        """Write it; the gym takes it over by itself."""

        def write() -> None:
            self._plan()
            replace_file(self._path, self.text.toPlainText())
            self._line()

        self.trying(write)

    def _happened(self, what: str) -> None:
        if self.names.currentText():
            self.ask(orders.in_evening(what, self.names.currentText()))

    def _line(self) -> None:
        self.ask(orders.SQUAD)
