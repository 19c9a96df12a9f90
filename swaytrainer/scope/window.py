"""The window: one recording or two, followed or held still; keys, notes, help."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6 import QtCore, QtGui, QtWidgets

from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope import colours
from swaytrainer.scope.gaze import Gaze
from swaytrainer.scope.notes import Note
from swaytrainer.scope.pane import Pane
from swaytrainer.scope.source import Source

#: Thirty pictures a second; of the time between two, so much may go into reading.
FRAME_MS: Final = 33
_READ_MS: Final = 14
#: ... and while there is much to read, fewer pictures will do.
_CATCH_UP_MS: Final = 70
_LOOK_AROUND_MS: Final = 2000

HELP: Final = """\
<h3>What you see</h3>
<p>The same values as the game's, read from its recording while it is written. Nothing is changed
by looking. The green band is the level's band of the toe share; the ellipse holds 95 of 100
further samples if the sway is even; the noise floor is what the board's own noise would make of the
speed. Ellipse and spectrum are of the stretch before the moment shown.</p>
<h3>Keys</h3>
<table cellspacing="6">
<tr><td><b>Space</b></td><td>hold still, or follow again; the sitting runs on</td></tr>
<tr><td><b>← →</b></td><td>look back or on by half a width; with Shift by a tenth</td></tr>
<tr><td><b>Home End</b></td><td>to the beginning; to the newest, and to the next recording</td></tr>
<tr><td><b>+ −</b></td><td>less or more time in the width</td></tr>
<tr><td><b>M</b></td><td>a mark at the moment shown</td></tr>
<tr><td><b>N</b></td><td>a note there: type, Enter keeps it, Esc leaves it</td></tr>
<tr><td><b>1 2</b></td><td>side by side: whose marks and notes</td></tr>
<tr><td><b>O</b></td><td>open a recording; <b>Shift O</b> beside the first</td></tr>
<tr><td><b>S</b></td><td>save a picture of the window</td></tr>
<tr><td><b>F1</b></td><td>this help</td></tr>
</table>
<p>Marks and notes are kept in a text file beside the recording, which ends in .notes.txt. They are
added to, never changed.</p>
<h3>Levels</h3>
<p>The second tab changes a level: a value is typed or chosen, the line below says whether it is a
level still, Ctrl Z takes a change back. What comes with the program stays as it is: what you make
of it is saved beside it, in the data folder. The simulated vaulters are no people: they give a
feeling for a number, no more. Whether a level is right for a vaulter, her coach decides.</p>
<p>Whoever stands on the board needs your eyes more than this window does: mat, clear floor,
somebody near, bare feet or vaulting shoes, the board's load limit; stop on pain or dizziness.
Your club's rules come first. A training aid, no medical device.</p>
"""


class ScopeWindow(QtWidgets.QMainWindow):
    """See the module.

    Args:
        sources: one or two; none to wait for the next recording.
        find_next: the recording that is written now, asked every two seconds; None to stay.
        new_source: makes the source of a path.
    """

    def __init__(
        self,
        sources: list[Source],
        new_source: Callable[[Path], Source],
        find_next: Callable[[], Path | None] | None = None,
        editor: QtWidgets.QWidget | None = None,
    ) -> None:
        super().__init__()
        self.sources = sources
        self.gaze = Gaze()
        self.panes: list[Pane | None] = []
        self.chosen = 0
        self._new_source = new_source
        self._find_next = find_next
        self._next: Path | None = None
        self._note_at: Note | None = None
        self._dirty = self._fresh = True
        self.setWindowTitle("swaytrainer: the coach's scope")
        self.resize(1280, 900)
        self.setStyleSheet(f"QWidget {{ background: {colours.PAPER}; color: {colours.INK} }}")
        self._build(editor)
        self._lay_out()
        self._keys()
        self._timer = QtCore.QTimer(self)
        self._timer.timeout.connect(self.tick)
        self._around = QtCore.QTimer(self)
        self._around.timeout.connect(self.look_around)

    def _build(self, editor: QtWidgets.QWidget | None) -> None:
        self._help = QtWidgets.QTextBrowser()
        self._help.setHtml(HELP)
        self._help.setStyleSheet("font-size: 17px")
        self._help.setFocusPolicy(QtCore.Qt.FocusPolicy.NoFocus)
        self._help.hide()
        self._row = QtWidgets.QHBoxLayout()
        self._entry = QtWidgets.QLineEdit()
        self._entry.setAccessibleName("Note")
        self._entry.setStyleSheet("font-size: 18px; padding: 4px")
        self._entry.hide()
        self._entry.returnPressed.connect(self._keep_note)
        self._line = QtWidgets.QLabel()
        self._line.setStyleSheet("font-size: 16px; padding: 4px")
        self._line.setWordWrap(True)
        page = QtWidgets.QWidget()
        column = QtWidgets.QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        self._column = column
        column.addWidget(self._help, 1)
        column.addLayout(self._row, 1)
        column.addWidget(self._entry)
        column.addWidget(self._line)
        self.page = page
        if editor is None:
            self.setCentralWidget(page)
        else:
            tabs = QtWidgets.QTabWidget()
            tabs.addTab(page, "Recording")
            tabs.addTab(editor, "Levels")
            tabs.setStyleSheet("QTabBar::tab { font-size: 16px; padding: 6px 18px }")
            tabs.currentChanged.connect(lambda _: page.setFocus())
            self.setCentralWidget(tabs)

    def start(self) -> None:
        """Begin to read and draw."""
        self._timer.start(FRAME_MS)
        self._around.start(_LOOK_AROUND_MS)

    # What is read ----------------------------------------------------------------------------

    def tick(self) -> None:
        """Read for a while, then draw if anything is new."""
        clock = QtCore.QElapsedTimer()
        clock.start()
        for n, source in enumerate(self.sources, start=1):
            most_ms = _CATCH_UP_MS if source.catching_up else _READ_MS
            while source.poll():
                self._dirty = True
                if clock.elapsed() >= n * most_ms:
                    break
        self._make_panes()
        self._begin_at_the_trial()
        if self._dirty:
            self._dirty = False
            self.draw()

    def _begin_at_the_trial(self) -> None:
        """Of a sitting that is over the last trial is looked at first, not the empty board."""
        if not self._fresh or any(s.catching_up for s in self.sources):
            return
        pane = self.panes[0] if self.panes else None
        if pane is None or not math.isfinite(pane.newest_s):
            return
        self._fresh = False
        if pane.last_end_s is not None and self._find_next is None:
            self.gaze = Gaze(self.gaze.width_s, pane.last_end_s)

    def look_around(self) -> None:
        """See whether another recording is being written by now."""
        path = self._find_next() if self._find_next is not None else None
        if path is None or (self.sources and path == self.sources[0].path):
            return
        self._next = path
        if self.gaze.follows:
            self._go_to_next()
        else:
            self._dirty = True

    def _go_to_next(self) -> None:
        if self._next is not None:
            path, self._next = self._next, None
            self.open([path], stay=False)

    def open(self, paths: list[Path], stay: bool = True) -> None:
        """Show other recordings.

        Args:
            paths: one, or two side by side.
            stay: don't go on to whatever recording comes next.
        """
        if stay:
            self._find_next = None
        self.sources = [self._new_source(path) for path in paths]
        self.gaze = Gaze(self.gaze.width_s)
        self.chosen = 0
        self._fresh = True
        self._lay_out()
        self._dirty = True

    def _lay_out(self) -> None:
        for pane in self.panes:
            if pane is not None:
                self._row.removeWidget(pane)
                pane.deleteLater()
        self.panes = [None] * len(self.sources)

    def _make_panes(self) -> None:
        if not self.panes or self.panes[0] is not None:
            return
        watched = [s.watched for s in self.sources]
        if any(w is None and not s.trouble for w, s in zip(watched, self.sources, strict=True)):
            return
        with_strides = any(w is not None and w.moves for w in watched)
        for i, source in enumerate(self.sources):
            if source.watched is None:
                continue
            try:
                notes = source.notes.notes()
            except SwaytrainerError as error:
                notes, source.trouble = [], str(error)
            pane = Pane(source.watched, source.tail.recording.made, notes, with_strides)
            self.panes[i] = pane
            self._row.addWidget(pane, 1)
        self._dirty = True

    # What is drawn ---------------------------------------------------------------------------

    @property
    def newest_s(self) -> float:
        """The newest sample of all shown, s since its recording began; NaN without one."""
        newest = [p.newest_s for p in self.panes if p is not None and math.isfinite(p.newest_s)]
        return max(newest, default=math.nan)

    def draw(self) -> None:
        """Draw all, with the same scales."""
        panes = [p for p in self.panes if p is not None and math.isfinite(p.newest_s)]
        newest_s = self.newest_s
        if panes:
            shown = [pane.look(self.gaze, newest_s) for pane in panes]
            reaches = [
                _joined(list(each)) for each in zip(*(s.reaches for s in shown), strict=True)
            ]
            tops = [pane.spectrum.top(s.spectra) for pane, s in zip(panes, shown, strict=True)]
            top = max((t for t in tops if math.isfinite(t)), default=1.0)
            for pane, each in zip(panes, shown, strict=True):
                pane.show_it(each, self.gaze, newest_s, reaches, top)
        line = self.status()
        if self._line.text() != line:
            self._line.setText(line)

    def status(self) -> str:
        """The line at the bottom."""
        troubles = [s.trouble for s in self.sources if s.trouble]
        if troubles:
            return " ".join(troubles)
        if not self.sources:
            return "No recording yet: one begins when somebody steps on the board.   F1: help"
        said = []
        behind = sum(s.tail.behind for s in self.sources)
        if behind:
            said.append(f"Reading: {behind / 1e6:.1f} MB to go.")
        elif self.gaze.follows:
            said.append(f"Following the newest {self.gaze.width_s:g} s.")
        else:
            said.append("Held still; Space follows again.")
        if self._next is not None:
            said.append("Another recording has begun: End goes to it.")
        if len(self.sources) > 1:
            said.append(f"Marks go to recording {self.chosen + 1}.")
        damaged = sum(len(s.tail.recording.damage) for s in self.sources)
        if damaged:
            said.append(f"{damaged} damaged places were passed over.")
        if any(s.watched is not None and s.watched.curves.dropped for s in self.sources):
            said.append("The oldest samples are no longer shown; the recording has them.")
        return "   ".join((*said, "F1: help"))

    # What is asked ---------------------------------------------------------------------------

    def _keys(self) -> None:
        wishes: dict[str, Callable[[], object]] = {
            "Space": self.hold_or_follow,
            "Left": lambda: self.move_by(-0.5),
            "Right": lambda: self.move_by(0.5),
            "Shift+Left": lambda: self.move_by(-0.1),
            "Shift+Right": lambda: self.move_by(0.1),
            "Home": lambda: self.move_by(-math.inf),
            "End": self.follow,
            "+": lambda: self.zoom(-1),
            "=": lambda: self.zoom(-1),
            "-": lambda: self.zoom(1),
            "M": self.mark,
            "N": self.begin_note,
            "1": lambda: self._choose(0),
            "2": lambda: self._choose(1),
            "O": lambda: self._ask_for_file(beside=False),
            "Shift+O": lambda: self._ask_for_file(beside=True),
            "S": self._ask_for_picture,
            "Esc": self._leave,
        }
        self._shortcuts = []
        for key, wish in wishes.items():
            shortcut = QtGui.QShortcut(QtGui.QKeySequence(key), self.page)
            shortcut.setContext(QtCore.Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(wish)
            self._shortcuts.append((key, shortcut))
        everywhere = QtGui.QShortcut(QtGui.QKeySequence("F1"), self)
        everywhere.activated.connect(self.help)
        self.page.setFocusPolicy(QtCore.Qt.FocusPolicy.StrongFocus)
        self.page.setFocus()

    def _look_at(self, gaze: Gaze) -> None:
        self.gaze = gaze
        self.draw()

    def hold_or_follow(self) -> None:
        """Hold still, or follow the newest again."""
        if self.gaze.follows:
            self._look_at(self.gaze.frozen(self.newest_s))
        else:
            self.follow()

    def follow(self) -> None:
        """Follow the newest, of the next recording if there is one."""
        self._look_at(self.gaze.following())
        self._go_to_next()

    def move_by(self, widths: float) -> None:
        """Look back or on."""
        self._look_at(self.gaze.moved(widths, self.newest_s))

    def zoom(self, steps: int) -> None:
        """More or less time in the width."""
        self._look_at(self.gaze.zoomed(steps))

    def _choose(self, which: int) -> None:
        if which < len(self.sources):
            self.chosen = which
            self.draw()

    def _moment(self) -> Note | None:
        pane = self.panes[self.chosen] if self.panes else None
        if pane is None or not math.isfinite(pane.newest_s):
            return None
        return Note(pane.watched.begin_s + self.gaze.at_s(pane.newest_s))

    def mark(self) -> None:
        """A mark at the moment shown."""
        self._keep(self._moment())

    def begin_note(self) -> None:
        """Ask for a note's text; its moment is now."""
        self._note_at = self._moment()
        if self._note_at is None:
            return
        for key, shortcut in self._shortcuts:
            shortcut.setEnabled(key == "Esc")
        self._entry.setPlaceholderText("Note: Enter keeps it, Esc leaves it")
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
        pane = self.panes[self.chosen] if self.panes else None
        if note is None or pane is None:
            return
        try:
            pane.notes.append(self.sources[self.chosen].add(note))
        except SwaytrainerError as error:
            QtWidgets.QMessageBox.warning(self, "Not kept", str(error))
        self.draw()

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
        self._column.setStretchFactor(self._row, 0 if showing else 1)
        self._help.setVisible(showing)
        for pane in self.panes:
            if pane is not None:
                pane.setVisible(not showing)

    def _ask_for_file(self, beside: bool) -> None:
        begin = str(self.sources[0].path.parent) if self.sources else ""
        name, _ = QtWidgets.QFileDialog.getOpenFileName(
            self, "Open a recording", begin, "Recordings (*.sway)"
        )
        if name:
            first = [self.sources[0].path] if beside and self.sources else []
            self.open([*first, Path(name)])

    def _ask_for_picture(self) -> None:
        picture = self.grab()
        name, _ = QtWidgets.QFileDialog.getSaveFileName(self, "Save a picture", "", "PNG (*.png)")
        if name and not picture.save(name if name.endswith(".png") else name + ".png"):
            QtWidgets.QMessageBox.warning(self, "Not saved", f"Can't write {name}.")


def _joined(reaches: list[tuple[float, float]]) -> tuple[float, float]:
    """What holds all of these; NaN if none is any."""
    finite = [r for r in reaches if math.isfinite(r[0])]
    if not finite:
        return math.nan, math.nan
    return min(r[0] for r in finite), max(r[1] for r in finite)
