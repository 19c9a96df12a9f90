"""What the desk's pages share: large buttons, a place for what was said, questions."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.orders import Order
from swaytrainer.office.runner import Runner
from swaytrainer.office.style import BOLD
from swaytrainer.words import Name, say, tr

WAIT: Final = "A moment …"
#: Height of a line to pick from.
_LINE_PX: Final = 26


def button(words: str, do: Callable[[], None], hint: str = "") -> QtWidgets.QPushButton:
    """A button that says what it does."""
    made = QtWidgets.QPushButton(tr(words))
    made.setMinimumHeight(44)
    made.setToolTip(tr(hint))
    made.clicked.connect(lambda _checked=False: do())
    return made


def label(words: str, bold: bool = False) -> QtWidgets.QLabel:
    """A line or more of words."""
    made = QtWidgets.QLabel(tr(words))
    # A name may look like a page's markup.
    made.setTextFormat(QtCore.Qt.TextFormat.PlainText)
    made.setWordWrap(True)
    if bold:
        made.setStyleSheet(BOLD)
    return made


def broken(text: str, columns: int) -> str:
    """A text whose long lines go on below, further in; what fits stays as it is.

    >>> broken("  a line that is long", 12).splitlines()
    ['  a line', '      that', '      is', '      long']
    """
    lines = []
    for line in text.splitlines():
        if len(line) <= columns:
            lines.append(line)
            continue
        further = " " * (len(line) - len(line.lstrip()) + 4)
        lines += textwrap.wrap(line, columns, subsequent_indent=further)
    return "\n".join(lines)


def with_ending(given: str, kinds: str, kind: str) -> Path:
    """A file's path with the ending of its kind.

    Args:
        given: as it was typed.
        kinds: that there are, as a file dialog has them.
        kind: the one that was chosen; empty for the first.

    >>> with_ending("romy", "PDF (*.pdf);;HTML (*.html)", "HTML (*.html)").name
    'romy.html'
    >>> with_ending("romy.PDF", "PDF (*.pdf);;HTML (*.html)", "HTML (*.html)").name
    'romy.PDF'
    >>> with_ending("all.zap", "Zip (*.zip)", "").name
    'all.zap.zip'
    """
    path = Path(given)
    if path.suffix.lower() in re.findall(r"\*(\.\w+)", kinds):
        return path
    ending = re.search(r"\*(\.\w+)", kind or kinds)
    return path if ending is None else path.with_name(path.name + ending[1])


class Pick(QtWidgets.QDialog):
    """Some lines, of which one is picked; however long they are, the screen is wide enough."""

    def __init__(
        self, parent: QtWidgets.QWidget, title: str, question: str, items: Sequence[str]
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr(title))
        self.resize(860, 420)
        self.list = QtWidgets.QListWidget()
        self.list.setHorizontalScrollBarPolicy(QtCore.Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        # A long name stands first; what tells two of its lines apart stands last.
        self.list.setTextElideMode(QtCore.Qt.TextElideMode.ElideMiddle)
        for line in items:
            item = QtWidgets.QListWidgetItem(line)
            # As wide as the list and no wider, so that it is cut where the list ends.
            item.setSizeHint(QtCore.QSize(0, _LINE_PX))
            item.setToolTip(line)
            self.list.addItem(item)
        self.list.setCurrentRow(0)
        self.list.itemDoubleClicked.connect(lambda _: self.accept())
        buttons = QtWidgets.QDialogButtonBox()
        take = buttons.addButton(tr("This one"), QtWidgets.QDialogButtonBox.ButtonRole.AcceptRole)
        take.setDefault(True)
        buttons.addButton(tr("Give up"), QtWidgets.QDialogButtonBox.ButtonRole.RejectRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QtWidgets.QVBoxLayout(self)
        for widget in (label(question), self.list, buttons):
            column.addWidget(widget)

    def row(self) -> int:
        """Which one, from 0."""
        return self.list.currentRow()


class Page(QtWidgets.QWidget):
    """A page with a place for what the commands say.

    Args:
        runner: runs them.
    """

    #: What F1 shows.
    HELP = ""

    def __init__(self, runner: Runner) -> None:
        super().__init__()
        self.runner = runner
        self._asked = 0
        self.said = QtWidgets.QPlainTextEdit()
        self.said.setReadOnly(True)
        self.said.setFont(QtGui.QFontDatabase.systemFont(QtGui.QFontDatabase.SystemFont.FixedFont))
        self.said.setAccessibleName(tr("What was said"))
        self.column = QtWidgets.QVBoxLayout(self)

    def row(self, *widgets: QtWidgets.QWidget) -> None:
        """Put widgets beside each other, below what is there."""
        line = QtWidgets.QHBoxLayout()
        for widget in widgets:
            line.addWidget(widget)
        line.addStretch(1)
        self.column.addLayout(line)

    def refresh(self) -> None:
        """The page was opened: read what may have changed."""

    def unkept(self) -> str:
        """What would be lost if the window were closed now, as a question; empty for nothing."""
        return ""

    # Doing --------------------------------------------------------------------------------------

    def tell(self, words: str) -> None:
        """Put words where everything is said."""
        self.said.setPlainText(tr(words))

    def show_said(self, text: str) -> None:
        """Show what was said, long lines broken where the place for it ends."""
        letter = self.said.fontMetrics().horizontalAdvance("0")
        room = self.said.viewport().width() - 2 * int(self.said.document().documentMargin())
        self.said.setPlainText(broken(text, max(40, room // letter - 1)))

    def ask(self, order: Order, then: Callable[[bool], None] = lambda _: None) -> None:
        """Run a command and show what it says, unless another was asked in the meantime."""
        self.tell(WAIT)
        self._asked += 1
        mine = self._asked

        def done(well: bool, said: str) -> None:
            if mine == self._asked:
                self.show_said(said)
            then(well)

        self.runner.ask(order, done)

    def open(self, order: Order) -> None:
        """Open what has a window of its own."""
        if not self.runner.open(order):
            self.tell("It could not be started. Close the desk, and start it again.")

    def trying(self, do: Callable[[], None]) -> bool:
        """Do something; what is wrong is shown. Whether it went well."""
        try:
            do()
        except SwaytrainerError as error:
            self.said.setPlainText(f"{tr(error.what)} {tr(error.remedy)}")
            return False
        return True

    # Questions ----------------------------------------------------------------------------------

    def new_file(self, title: str, name: str, kinds: str) -> Path | None:
        """Where to put a file; None if it was given up.

        What is given without one of the kinds' endings gets that of the kind that was chosen.
        """
        given, kind = QtWidgets.QFileDialog.getSaveFileName(self, tr(title), name, kinds)
        path = with_ending(given, kinds, kind)
        if not given or str(path) == given or not path.exists():
            return path if given else None
        # Of this one nobody has asked yet.
        there = say("{file} is there already. Write over it?", file=Name(path.name))
        return path if self.sure(title, there) else None

    def old_file(self, title: str, kinds: str, folder: str = "") -> Path | None:
        """A file that is there; None if it was given up."""
        path, _ = QtWidgets.QFileDialog.getOpenFileName(self, tr(title), folder, kinds)
        return Path(path) if path else None

    def sure(self, title: str, question: str) -> bool:
        """Whether it is wanted, yes or no."""
        answer = QtWidgets.QMessageBox.question(self, tr(title), tr(question))
        return answer == QtWidgets.QMessageBox.StandardButton.Yes

    def typed(self, title: str, question: str) -> str | None:
        """A line; None if it was given up."""
        text, ok = QtWidgets.QInputDialog.getText(self, tr(title), tr(question))
        return text.strip() if ok else None

    def picked(self, title: str, question: str, items: Sequence[str]) -> int | None:
        """Which of some lines; None if it was given up."""
        if not items:
            return None
        pick = Pick(self, title, question, items)
        return pick.row() if pick.exec() else None
