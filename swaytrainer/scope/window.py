"""The window: recordings or a level, keys, notes, help."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope import colours
from swaytrainer.scope.gaze import Gaze
from swaytrainer.scope.keys import KEYS, help_page
from swaytrainer.scope.lettering import Words, font_of
from swaytrainer.scope.notes import Note
from swaytrainer.scope.pane import Pane, clock
from swaytrainer.scope.readout import trouble
from swaytrainer.scope.showing import FRAME_MS, Showing
from swaytrainer.scope.source import Source
from swaytrainer.words import say, tr

_LOOK_AROUND_MS: Final = 2000


class ScopeWindow(QtWidgets.QMainWindow):
    """See the module.

    Args:
        paths: one recording or two; none to wait for the next.
        new_source: makes the source of a path.
        find_next: the recording that is written now, asked every two seconds; None to stay.
        editor: the second tab.
    """

    def __init__(
        self,
        paths: list[Path],
        new_source: Callable[[Path], Source],
        find_next: Callable[[], Path | None] | None = None,
        editor: QtWidgets.QWidget | None = None,
    ) -> None:
        super().__init__()
        self._find_next = find_next
        self._next: Path | None = None
        self._note_at: Note | None = None
        self.setWindowTitle(tr(say("swaytrainer: the coach's scope")))
        room = self.screen().availableGeometry()
        # A frame of its own stands around it; a small laptop's screen is 768 high.
        self.resize(min(1280, room.width()), min(900, room.height() - 48))
        self.setPalette(_palette())
        self.showing = Showing(new_source)
        self._build(editor)
        self._keys()
        self._timer = QtCore.QTimer(self)
        self._timer.timeout.connect(self.tick)
        self._around = QtCore.QTimer(self)
        self._around.timeout.connect(self.look_around)
        self.showing.open(paths)

    def _build(self, editor: QtWidgets.QWidget | None) -> None:
        self._help = QtWidgets.QTextBrowser()
        self._help.setHtml(help_page())
        self._help.setFont(font_of(17))
        self._help.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
        self._help.hide()
        self._entry = QtWidgets.QLineEdit()
        self._entry.setAccessibleName(tr(say("Note")))
        self._entry.setFont(font_of(18))
        self._entry.hide()
        self._entry.returnPressed.connect(self._keep_note)
        self._line = Words(16, lines=2)
        page = QtWidgets.QWidget()
        column = QtWidgets.QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._help, 1)
        column.addWidget(self.showing, 1)
        column.addWidget(self._entry)
        below = QtWidgets.QHBoxLayout()
        below.setContentsMargins(8, 0, 8, 0)
        below.addWidget(self._line)
        column.addLayout(below)
        self.page = page
        if editor is None:
            self.setCentralWidget(page)
            return
        tabs = QtWidgets.QTabWidget()
        tabs.addTab(page, tr(say("Recording")))
        tabs.addTab(editor, tr(say("Levels")))
        tabs.tabBar().setFont(font_of(16))
        tabs.currentChanged.connect(lambda _: page.setFocus())
        self.setCentralWidget(tabs)

    def start(self) -> None:
        """Begin to read and draw."""
        self._timer.start(FRAME_MS)
        self._around.start(_LOOK_AROUND_MS)

    @property
    def sources(self) -> list[Source]:
        """What is shown."""
        return self.showing.sources

    @property
    def panes(self) -> list[Pane | None]:
        """Where it is shown."""
        return self.showing.panes

    @property
    def gaze(self) -> Gaze:
        """Which stretch is looked at."""
        return self.showing.gaze

    @property
    def newest_s(self) -> float:
        """The newest sample shown, s since its recording began; NaN without one."""
        return self.showing.newest_s

    def tick(self) -> None:
        """Read, draw, and say where we are."""
        self.showing.tick()
        self._line.say(self.status())

    def look_around(self) -> None:
        """See whether another recording is being written by now."""
        path = self._find_next() if self._find_next is not None else None
        if path is None or (self.sources and path == self.sources[0].path):
            return
        self._next = path
        if self.gaze.follows or self.showing.parked:
            self._go_to_next()

    def _go_to_next(self) -> None:
        if self._next is not None:
            path, self._next = self._next, None
            self.showing.open([path])

    def open(self, paths: list[Path]) -> None:
        """Show other recordings, one or two, and stay with them."""
        self._find_next = self._next = None
        self.showing.open(paths)

    def status(self) -> str:
        """The line at the bottom."""
        troubles = [s.trouble for s in self.sources if s.trouble]
        if troubles:
            return " ".join(troubles)
        keys = tr(say("F1: help"))
        if not self.sources:
            none = say("No recording yet: one begins when somebody steps on the board.")
            return f"{tr(none)}   {keys}"
        said = []
        if self.showing.catching_up:
            said.append(self._how_far())
        if self.gaze.follows:
            said.append(tr(say("Following the newest {s:g} s.", s=self.gaze.width_s)))
        elif self.showing.parked:
            said.append(tr(say("Shown as the last trial ended; Space goes to the end.")))
        else:
            at = clock(self.showing.at_s())
            said.append(tr(say("Held at {at}, the purple line; Space follows again.", at=at)))
        if self._next is not None:
            said.append(tr(say("Another recording has begun: End goes to it.")))
        if len(self.sources) > 1:
            said.append(tr(say("Marks go to recording {n}.", n=self.showing.chosen + 1)))
        if damaged := sum(len(s.tail.recording.damage) for s in self.sources):
            said.append(tr(say("{n} damaged places were passed over.", n=damaged)))
        if any(s.watched is not None and s.watched.curves.dropped for s in self.sources):
            kept = say("The oldest samples are no longer shown; the recording has them.")
            said.append(tr(kept))
        return "   ".join((*said, keys))

    def _how_far(self) -> str:
        share = min(s.tail.share_read for s in self.sources)
        read_min = max(0.0, self.newest_s) / 60.0 if math.isfinite(self.newest_s) else 0.0
        return tr(
            say(
                "Reading: {percent:.0f} %, {minutes:.0f} min so far; all of that is shown.",
                percent=math.floor(100.0 * share),
                minutes=read_min,
            )
        )

    # What is asked ---------------------------------------------------------------------------

    def _keys(self) -> None:
        wishes: dict[str, Callable[[], object]] = {
            "hold": self.hold_or_follow,
            "back": lambda: self.move_by(-0.5),
            "on": lambda: self.move_by(0.5),
            "a little back": lambda: self.move_by(-0.1),
            "a little on": lambda: self.move_by(0.1),
            "first": lambda: self.move_by(-math.inf),
            "follow": self.follow,
            "closer": lambda: self.zoom(-1),
            "wider": lambda: self.zoom(1),
            "mark": self.mark,
            "note": self.begin_note,
            "one": lambda: self._choose(0),
            "two": lambda: self._choose(1),
            "open": lambda: self._ask_for_file(beside=False),
            "open beside": lambda: self._ask_for_file(beside=True),
            "picture": self._ask_for_picture,
            "help": self.help,
            "leave": self._leave,
        }
        self._shortcuts = []
        for key in KEYS:
            for keys in key.keys:
                shortcut = QtGui.QShortcut(QtGui.QKeySequence(keys), self.page)
                shortcut.setContext(QtCore.Qt.ShortcutContext.WidgetWithChildrenShortcut)
                shortcut.activated.connect(wishes[key.wish])
                self._shortcuts.append((key.wish, shortcut))
        everywhere = QtGui.QShortcut(QtGui.QKeySequence("F1"), self)
        everywhere.activated.connect(self.help)
        self.page.setFocusPolicy(QtCore.Qt.FocusPolicy.StrongFocus)
        self.page.setFocus()

    def hold_or_follow(self) -> None:
        """Hold still, or follow the newest again."""
        if self.gaze.follows:
            self.showing.look_at(self.gaze.frozen(self.newest_s))
        else:
            self.follow()

    def follow(self) -> None:
        """Follow the newest, of the next recording if there is one."""
        self.showing.look_at(self.gaze.following())
        self._go_to_next()

    def move_by(self, widths: float) -> None:
        """Look back or on."""
        self.showing.look_at(self.gaze.moved(widths, self.newest_s))

    def zoom(self, steps: int) -> None:
        """More or less time in the width."""
        self.showing.look_at(self.gaze.zoomed(steps))

    def _choose(self, which: int) -> None:
        if which < len(self.sources):
            self.showing.chosen = which
            self._line.say(self.status())

    def mark(self) -> None:
        """A mark at the moment shown."""
        self._keep(self.showing.moment())

    def begin_note(self) -> None:
        """Ask for a note's text; its moment is now."""
        self._note_at = self.showing.moment()
        if self._note_at is None:
            return
        for wish, shortcut in self._shortcuts:
            shortcut.setEnabled(wish == "leave")
        self._entry.setPlaceholderText(tr(say("Note: Enter keeps it, Esc leaves it")))
        self._entry.clear()
        self._entry.show()
        self._entry.setFocus()

    def _keep_note(self) -> None:
        at = self._note_at
        text = self._entry.text()
        self._leave()
        if at is not None and text.strip():
            self._keep(Note(at.time_s, text))

    def _keep(self, note: Note | None) -> None:
        if note is None:
            return
        try:
            self.showing.keep(note)
        except SwaytrainerError as error:
            QtWidgets.QMessageBox.warning(self, tr(say("Not kept")), trouble(error))

    def _leave(self) -> None:
        """Leave the note or the help."""
        self._note_at = None
        self._entry.hide()
        if self._help.isVisible():
            self.help()
        for _, shortcut in self._shortcuts:
            shortcut.setEnabled(True)
        self.page.setFocus()

    def help(self) -> None:
        """Show the help, or the recordings again."""
        showing = self._help.isHidden()
        if isinstance(tabs := self.centralWidget(), QtWidgets.QTabWidget):
            tabs.setCurrentIndex(0)
        self._help.setVisible(showing)
        self.showing.setVisible(not showing)

    def _ask_for_file(self, beside: bool) -> None:
        begin = str(self.sources[0].path.parent) if self.sources else ""
        name, _ = QtWidgets.QFileDialog.getOpenFileName(
            self, tr(say("Open a recording")), begin, tr(say("Recordings (*.sway)"))
        )
        if name:
            first = [self.sources[0].path] if beside and self.sources else []
            self.open([*first, Path(name)])

    def _ask_for_picture(self) -> None:
        self.showing.renew()
        picture = self.grab()
        name, _ = QtWidgets.QFileDialog.getSaveFileName(
            self, tr(say("Save a picture")), "", "PNG (*.png)"
        )
        if name and not picture.save(name if name.endswith(".png") else name + ".png"):
            why = tr(say("Can't write {name}.", name=Path(name).name))
            QtWidgets.QMessageBox.warning(self, tr(say("Not saved")), why)


def _palette() -> QtGui.QPalette:
    """Dark on light. A style sheet would do the same, and make every painting dearer."""
    roles = QtGui.QPalette.ColorRole
    palette = QtGui.QPalette(QtGui.QColor(colours.PAPER))
    for role in (roles.Window, roles.Base, roles.Button, roles.AlternateBase):
        palette.setColor(role, QtGui.QColor(colours.PAPER))
    for role in (roles.WindowText, roles.Text, roles.ButtonText):
        palette.setColor(role, QtGui.QColor(colours.INK))
    palette.setColor(roles.PlaceholderText, QtGui.QColor(colours.GREY))
    return palette
