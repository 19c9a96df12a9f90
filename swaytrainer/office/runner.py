"""Runs the program's own commands beside the window, so that it never stands still."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from PySide6 import QtCore

from swaytrainer.office.orders import Order, command_line

#: Told at the end: whether it went well, and what was said.
Done = Callable[[bool, str], None]


class Runner(QtCore.QObject):
    """Starts commands and hears them.

    Args:
        home: the data folder.
    """

    def __init__(self, home: Path) -> None:
        super().__init__()
        self._home = home
        self._running: set[QtCore.QProcess] = set()

    @property
    def busy(self) -> bool:
        """Something that was asked is not answered yet."""
        return bool(self._running)

    def open(self, order: Order) -> bool:
        """Start what has a window of its own; it goes on when the desk is closed."""
        return QtCore.QProcess.startDetached(sys.executable, command_line(self._home, order))[0]

    def ask(self, order: Order, done: Done) -> None:
        """Run a command and hand on what it says."""
        process = QtCore.QProcess(self)
        self._running.add(process)
        environment = QtCore.QProcessEnvironment.systemEnvironment()
        environment.insert("PYTHONIOENCODING", "utf-8")
        # Tables are as wide as the terminal; here there is room.
        environment.insert("COLUMNS", "100")
        process.setProcessEnvironment(environment)

        def finish() -> None:
            if process not in self._running:
                return
            self._running.discard(process)
            out = bytes(process.readAllStandardOutput().data()).decode("utf-8", "replace")
            wrong = bytes(process.readAllStandardError().data()).decode("utf-8", "replace")
            well = (
                process.exitStatus() is QtCore.QProcess.ExitStatus.NormalExit
                and process.exitCode() == 0
            )
            said = "\n".join(part.strip("\n") for part in (wrong, out) if part.strip())
            process.deleteLater()
            done(well, said.replace("swaytrainer: ", "", 1) if wrong else said)

        process.finished.connect(lambda *_: finish())
        process.errorOccurred.connect(lambda *_: finish())
        process.start(sys.executable, command_line(self._home, order))

    def close(self) -> None:
        """Stop what was only asked."""
        for process in list(self._running):
            self._running.discard(process)
            process.kill()
            process.waitForFinished(2000)
