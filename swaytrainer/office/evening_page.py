"""Tonight's plan: groups, what they do, and the line as it stands."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6 import QtGui, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office import orders
from swaytrainer.office.forms import Lines, narrow
from swaytrainer.office.group_form import GroupForm, level_words
from swaytrainer.office.page import Page, button, label
from swaytrainer.office.runner import Runner
from swaytrainer.squad.plan import (
    FILE,
    Group,
    Plan,
    groups_of,
    missing,
    plan_text,
    read_plan,
    with_group,
    with_missing,
)
from swaytrainer.store.home import Home, replace_same
from swaytrainer.store.plan_edit import Kept, edited_plan
from swaytrainer.training.level import Level
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, number, say, short, tr

_HEADS = ("Group", "What they do", "Minutes each", "Station", "Who, in this order")
_WIDEST_PX = 380
#: Letters of a name where many stand in a line.
_WIDEST = 24


class EveningPage(Page):
    """The groups in a table, and the same as text; what is wrong is never kept."""

    HELP = (
        "Each group has its vaulters in the order in which they are called, the levels they do, and"
        " minutes on the board; without levels the ladder decides. Whoever isn't here goes to the"
        " end of the line. What is changed here the gym takes over by itself, also in mid-evening."
    )

    def __init__(self, runner: Runner, home: Home) -> None:
        super().__init__(runner)
        self._home = home
        self._vaulters: list[Vaulter] = []
        self._levels: tuple[Level, ...] = ()
        #: The file as it was read or written last: another desk may write it, too.
        self._was = ""
        self.groups = Lines(_HEADS, self._reorder, lambda: self._form(None), self._form)
        self.text = QtWidgets.QPlainTextEdit()
        self.text.setFont(QtGui.QFontDatabase.systemFont(QtGui.QFontDatabase.SystemFont.FixedFont))
        self.text.setAccessibleName(tr("The plan"))
        self.text.setVisible(False)
        self.text.textChanged.connect(self._check)
        self.state = label("")
        narrow(self.state)
        self.names = QtWidgets.QComboBox()
        self.names.setMinimumWidth(180)
        self.names.setMaximumWidth(_WIDEST_PX)
        self.keep_button = button("Keep the plan", self.keep)
        self.missing_button = button("Put in who is missing", self._put_in)
        self.as_text = QtWidgets.QCheckBox(tr("As text"))
        self.as_text.toggled.connect(self.text.setVisible)
        self.column.addWidget(self.groups, 2)
        self.column.addWidget(self.text, 2)
        self.column.addWidget(self.state)
        self.row(
            self.keep_button,
            button("Undo what isn't kept", self.undo),
            self.missing_button,
            self.as_text,
        )
        self.row(
            self.names,
            button("Away tonight", lambda: self._happened("away")),
            button("Here after all", lambda: self._happened("back")),
            button("Called, not here", lambda: self._happened("missed")),
            button("How it stands", self._line),
        )
        self.column.addWidget(self.said, 2)

    @property
    def _path(self) -> Path:
        return self._home.path / FILE

    # Reading ------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Read names and plan; what was typed and isn't kept stays."""
        self.trying(self._read)

    def undo(self) -> None:
        """The plan as it is kept; without one, one to begin with."""
        self.text.document().setModified(False)
        self.tell("")
        self.refresh()

    def unkept(self) -> str:
        """What was typed, unless it stands there anyway."""
        typed = self.text.document().isModified() and self.text.toPlainText() != self._was
        return say("What you typed into the plan isn't kept. Close all the same?") if typed else ""

    def _read(self) -> None:
        self._vaulters = self._home.vaulters()
        self._levels = self._home.level_shelf().levels
        chosen = self.names.currentText()
        self.names.clear()
        self.names.addItems([v.name for v in self._vaulters])
        self.names.setCurrentText(chosen)
        if not self.text.document().isModified():
            kept = self._was = self._kept()
            blank = plan_text(groups_of(self._vaulters)) if self._vaulters else ""
            self.text.setPlainText(kept if kept.strip() else blank)
            self.text.document().setModified(False)
        self._check()
        if not self._vaulters:
            self.tell("Nobody is in the list yet: add your vaulters on the page before.")

    def _kept(self) -> str:
        try:
            return self._path.read_text(encoding="utf-8")
        except FileNotFoundError:
            return ""
        except (OSError, UnicodeDecodeError) as error:
            raise SwaytrainerError(
                say("{file} can't be read: {why}.", file=Name(FILE), why=Name(error)),
                "Look at its rights, or move it away.",
            ) from None

    def _names(self) -> list[str]:
        return [v.name for v in self._vaulters]

    def _plan(self) -> Plan:
        ids = [level.id for level in self._levels]
        return read_plan(self.text.toPlainText(), FILE, self._names(), ids)

    def _check(self) -> None:
        try:
            plan = self._plan()
        except SwaytrainerError as error:
            self.state.setText(tr(error.what))
            self.keep_button.setEnabled(False)
            self.missing_button.setEnabled(False)
            return
        self.keep_button.setEnabled(bool(plan.vaulters))
        self._fill(plan)
        late = [short(v.name, _WIDEST) for v in missing(plan, self._vaulters)]
        self.missing_button.setEnabled(bool(late))
        lines = [
            say("A plan for {many} vaulters in {groups} groups. Minutes on the board in all:"
                " {minutes:.0f}.", many=len(plan.vaulters), groups=len(plan.groups),
                minutes=sum(g.minutes * len(g.vaulters) for g in plan.groups))
        ]  # fmt: skip
        if late:
            lines.append(say("In no group: {names}.", names=Name(", ".join(late))))
        same = self.text.toPlainText() == self._was
        lines.append(say("It is kept.") if same else say("It isn't kept yet."))
        self.state.setText(" ".join(tr(line) for line in lines))

    def _fill(self, plan: Plan) -> None:
        titles = {level.id: level_words(level) for level in self._levels}
        self.groups.show_lines(
            [
                (
                    short(group.name, _WIDEST),
                    ", ".join(titles[name] for name in group.levels) or tr("what the ladder says"),
                    number(group.minutes, "g"),
                    group.station or tr("any board"),
                    ", ".join(short(name, _WIDEST) for name in group.vaulters),
                )
                for group in plan.groups
            ]
        )

    # Changing -----------------------------------------------------------------------------------

    def form(self, at: int | None) -> GroupForm:
        """The form for a group of the plan, or for a new one (None).

        Raises:
            SwaytrainerError: the text is no plan.
        """
        plan = self._plan()
        known = {name: group.name for group in plan.groups for name in group.vaulters}
        group = Group("", ()) if at is None else plan.groups[at]
        listed = [(name, known.get(name, "")) for name in self._names()]
        return GroupForm(
            self, group, listed, self._levels, lambda new: self._write(with_group(plan, at, new))
        )

    def _form(self, at: int | None) -> None:
        def ask() -> None:
            self.form(at).exec()

        self.trying(ask)

    def _reorder(self, order: list[int]) -> None:
        def write() -> None:
            groups = self._plan().groups
            self._write([(n, groups[n]) for n in order])

        self.trying(write)

    def _put_in(self) -> None:
        self.trying(lambda: self._write(with_missing(self._plan(), self._vaulters)))

    def _write(self, groups: Sequence[Kept]) -> None:
        """Keep other groups at once: who presses a button means it."""
        ids = [level.id for level in self._levels]
        new = edited_plan(self.text.toPlainText(), FILE, groups, self._names(), ids)
        self._replace(new)
        self._line()

    def _replace(self, text: str) -> None:
        remedy = say("“Undo what isn't kept” shows theirs; then do yours once more.")
        replace_same(self._path, self._was, text, remedy)
        self._was = text
        self._show_kept(text)

    def _show_kept(self, text: str) -> None:
        self.text.setPlainText(text)
        self.text.document().setModified(False)
        self._check()

    def keep(self) -> None:
        """Write it; the gym takes it over by itself."""

        def write() -> None:
            self._plan()
            self._replace(self.text.toPlainText())
            self._line()

        self.trying(write)

    # The line -----------------------------------------------------------------------------------

    def _happened(self, what: str) -> None:
        if self.names.currentText():
            self.ask(orders.in_evening(what, self.names.currentText()))

    def _line(self) -> None:
        self.ask(orders.SQUAD)
