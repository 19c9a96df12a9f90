"""The second tab: a level's fields in a table, undo, what simulated vaulters make of it, saving."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Final

from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope import colours
from swaytrainer.scope.asking import Asking
from swaytrainer.scope.draft import FieldRow, changed, keep_level, rows, shipped_texts
from swaytrainer.scope.readout import trouble
from swaytrainer.scope.tryout import Tried, try_level
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import file_order, read_level
from swaytrainer.words import Name, say, tr, translated

_COLUMNS: Final = (say("field"), say("value"), say("range"), say("what it is"))
_ASK_MS: Final = 200


class _Change(QtGui.QUndoCommand):
    """From one text to the next."""

    def __init__(self, editor: Editor, after: str, what: str) -> None:
        super().__init__(translated("change: {field}", field=what))
        self._editor, self._before, self._after = editor, editor.text, after

    def redo(self) -> None:
        self._editor.set_text(self._after)

    def undo(self) -> None:
        self._editor.set_text(self._before)


class Editor(QtWidgets.QWidget):
    """See the module.

    Args:
        folder: the club's own levels.
        try_it: starts a level on the simulator.
        effect: tells how many would pass; it is sent to a process of its own.
    """

    def __init__(
        self,
        folder: Path,
        try_it: Callable[[Level, str], None],
        effect: Callable[[Level], Tried] = try_level,
    ) -> None:
        super().__init__()
        self.text = ""
        self.undo_stack = QtGui.QUndoStack(self)
        self._folder, self._try_it = folder, try_it
        self._own: set[str] = set()
        self._texts: dict[str, str] = {}
        self._rows: list[FieldRow] = []
        self._filling = False
        self._asking = Asking(effect)
        self._ask_timer = QtCore.QTimer(self)
        self._ask_timer.timeout.connect(self._see)
        self._build()
        self.reload()

    def _build(self) -> None:
        self.setStyleSheet("font-size: 16px")
        self.choice = QtWidgets.QComboBox()
        self.choice.setAccessibleName(translated("Level file"))
        self.choice.activated.connect(lambda _: self._chosen(self.choice.currentText()))
        self.file_name = QtWidgets.QLineEdit()
        self.file_name.setAccessibleName(translated("Name of the file to save"))
        self.table = QtWidgets.QTableWidget(0, len(_COLUMNS))
        self.table.setHorizontalHeaderLabels([tr(column) for column in _COLUMNS])
        tall = self.table.verticalHeader()
        tall.hide()
        tall.setSectionResizeMode(QtWidgets.QHeaderView.ResizeMode.ResizeToContents)
        self.table.setWordWrap(True)
        self.table.horizontalHeader().setStretchLastSection(True)
        self.table.cellChanged.connect(self._typed)
        self.verdict = QtWidgets.QLabel()
        self.effect = QtWidgets.QLabel()
        for label in (self.verdict, self.effect):
            label.setWordWrap(True)
        top = QtWidgets.QHBoxLayout()
        top.addWidget(QtWidgets.QLabel(translated("Level file")))
        top.addWidget(self.choice, 1)
        top.addWidget(QtWidgets.QLabel(translated("Save as")))
        top.addWidget(self.file_name, 1)
        buttons = QtWidgets.QHBoxLayout()
        undo = self.undo_stack.createUndoAction(self, translated("Undo"))
        undo.setShortcut(QtGui.QKeySequence.StandardKey.Undo)
        redo = self.undo_stack.createRedoAction(self, translated("Redo"))
        redo.setShortcut(QtGui.QKeySequence.StandardKey.Redo)
        for action in (undo, redo):
            button = QtWidgets.QToolButton()
            button.setDefaultAction(action)
            buttons.addWidget(button)
        for words, wish in (
            (translated("How many would pass?"), self.ask),
            (translated("Try on the simulator"), self.try_on),
            (translated("Save"), self.save),
        ):
            push = QtWidgets.QPushButton(words)
            push.clicked.connect(wish)
            buttons.addWidget(push)
        whole = QtWidgets.QVBoxLayout(self)
        whole.addLayout(top)
        whole.addWidget(self.table, 1)
        whole.addWidget(self.verdict)
        whole.addWidget(self.effect)
        whole.addLayout(buttons)

    def reload(self) -> None:
        """Read all levels anew; a club's own file hides a shipped one of the same name."""
        self._texts = shipped_texts()
        self._own = set()
        for path in sorted(self._folder.glob("*.toml")):
            try:
                self._texts[path.name] = path.read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError):
                continue  # the shelf of the game tells of it
            self._own.add(path.name)
        now = self.choice.currentText()
        self.choice.clear()
        self.choice.addItems(sorted(self._texts, key=file_order))
        self.open(now or self.choice.itemText(0))

    def _chosen(self, name: str) -> None:
        if self.undo_stack.isClean() or self.sure():
            self.open(name)
        else:
            self.choice.setCurrentText(self._name)

    def sure(self) -> bool:
        """Whether what was changed and isn't saved may go."""
        answer = QtWidgets.QMessageBox.question(
            self,
            translated("Not saved"),
            translated("What you have changed is not saved. Leave it?"),
        )
        return answer == QtWidgets.QMessageBox.StandardButton.Yes

    def open(self, name: str) -> None:
        """Begin with a level's file; what was undone before is forgotten."""
        self.choice.setCurrentText(name)
        self._name = name
        self._opened = read_level(self._texts[name], name) if name not in self._own else None
        own = name in self._own
        self.file_name.setText(name if own else name.replace(".toml", "-ours.toml"))
        self.undo_stack.clear()
        text = self._texts[name]
        if not own:
            # A shipped level stays: what is made of it is another level, with its own history.
            level = read_level(text, name)
            text = changed(text, ("id",), f"{level.id[:35]}-ours")
            # Two of one title could not be told apart in the gym.
            text = changed(text, ("title",), f"{level.title[:30]} (ours)")
        self.effect.clear()
        self.set_text(text)

    def set_text(self, text: str) -> None:
        """Show a text, and whether it is a level."""
        self.text = text
        try:
            self._rows = rows(text)
            read_level(text, self.file_name.text())
        except SwaytrainerError as error:
            self._judge(trouble(error), well=False)
        else:
            self._judge(translated("This is a good level."), well=True)
        self._fill()

    def _judge(self, words: str, well: bool) -> None:
        self.verdict.setText(words)
        colour = colours.GREEN if well else colours.WARNING
        self.verdict.setStyleSheet(f"color: {colour}; font-weight: bold")

    def _fill(self) -> None:
        """Show the rows; what is the same stays, as an editor may be open in it."""
        self._filling = True
        self.table.setRowCount(len(self._rows))
        for n, row in enumerate(self._rows):
            for column, words in enumerate((row.label, row.value, row.limits, row.sense)):
                item = self.table.item(n, column)
                if item is None:
                    item = QtWidgets.QTableWidgetItem()
                    if column != 1:
                        item.setFlags(item.flags() & ~QtCore.Qt.ItemFlag.ItemIsEditable)
                    self.table.setItem(n, column, item)
                if column == 0:
                    item.setToolTip(row.name)  # what the file calls it
                if item.text() != words:
                    item.setText(words)
            self._words(n, row)
        self.table.resizeColumnToContents(0)
        self.table.setColumnWidth(1, 260)
        self.table.setColumnWidth(2, 300)
        self._filling = False

    def _words(self, n: int, row: FieldRow) -> None:
        """Where only some words will do, they are offered."""
        box = self.table.cellWidget(n, 1)
        if not row.choices:
            if isinstance(box, _Choice):  # and not the line that is being typed in
                self.table.removeCellWidget(n, 1)
            return
        if not isinstance(box, _Choice) or box.words != row.choices:
            box = _Choice(row.choices, row.shown, partial(self.change, n))
            self.table.setCellWidget(n, 1, box)
        box.setCurrentIndex(row.choices.index(row.value) if row.value in row.choices else -1)

    def _typed(self, n: int, column: int) -> None:
        if not self._filling and column == 1:
            item = self.table.item(n, 1)
            self.change(n, item.text() if item is not None else "")

    def change(self, n: int, value: str) -> None:
        """Give the field in a row another value; it can be undone."""
        row = self._rows[n]
        if value == row.value:
            return
        try:
            after = changed(self.text, row.place, value)
        except SwaytrainerError as error:
            self._judge(trouble(error), well=False)
            return
        self.undo_stack.push(_Change(self, after, row.name))

    def level(self) -> Level | None:
        """The level as it stands, None while it is none."""
        try:
            return read_level(self.text, self.file_name.text())
        except SwaytrainerError:
            return None

    def ask(self) -> None:
        """Let the simulated vaulters stand, in a process of their own."""
        level = self.level()
        if level is None or self._asking.waiting:
            return
        self.effect.setText(translated("The simulated vaulters stand …"))
        self._asking.ask(level)
        self._ask_timer.start(_ASK_MS)

    def _see(self) -> None:
        found = self._asking.answer()
        if found is None:
            return
        self._ask_timer.stop()
        self.effect.setText(
            found.told()
            if isinstance(found, Tried)
            else translated("It failed: {why}.", why=Name(found))
        )

    def try_on(self) -> None:
        """Start the level on the simulator."""
        level = self.level()
        if level is None:
            return
        try:
            self._try_it(level, self.text)
        except SwaytrainerError as error:
            self._judge(trouble(error), well=False)

    def save(self) -> None:
        """Keep the level among the club's own."""
        name = self.file_name.text()
        made, was = self.level(), self._opened
        if made and was and made.base != was.base and made.cautions == was.cautions:
            self._judge(
                translated(
                    "The cautions are still those of another base: write what {base} needs, as the"
                    " levels on it have it.",
                    base=made.base,
                ),
                well=False,
            )
            return
        try:
            keep_level(self._folder, name, self.text, replaces=name in self._own)
        except SwaytrainerError as error:
            self._judge(trouble(error), well=False)
            return
        name = name.strip() if name.strip().endswith(".toml") else f"{name.strip()}.toml"
        self._texts[name] = self.text
        self._own.add(name)
        if self.choice.findText(name) < 0:
            self.choice.addItem(name)
        self.choice.setCurrentText(name)
        self.undo_stack.setClean()
        self._judge(translated("Saved as {path}.", path=Name(str(self._folder / name))), well=True)

    def close_down(self) -> None:
        """End the process of the simulated vaulters."""
        self._ask_timer.stop()
        self._asking.close()


class _Choice(QtWidgets.QComboBox):
    """Some words as they are read; ``chosen`` is told the file's own."""

    def __init__(
        self, words: tuple[str, ...], shown: tuple[str, ...], chosen: Callable[[str], None]
    ) -> None:
        super().__init__()
        self.words = words
        self.addItems(shown)
        self.activated.connect(lambda n: chosen(words[n]))
        # A wheel over the table is to move the table, not to change the level.
        self.setFocusPolicy(QtCore.Qt.FocusPolicy.StrongFocus)

    def wheelEvent(self, event: QtGui.QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Leave it to the table."""
        event.ignore()
