"""Runs the program's own commands beside the window, so that it never stands still."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6 import QtCore

from swaytrainer.office.orders import Order, arguments_of, command_line

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
        self._on_call: QtCore.QProcess | None = None
        self._closed = False

    @property
    def busy(self) -> bool:
        """Something that was asked is not answered yet."""
        return bool(self._running)

    def open(self, order: Order) -> bool:
        """Start what has a window of its own; it goes on when the desk is closed."""
        return QtCore.QProcess.startDetached(sys.executable, command_line(self._home, order))[0]

    def ask(self, order: Order, done: Done) -> None:
        """Run a command and hand on what it says."""
        process = self._take()
        self._running.add(process)

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
            # Only now: while it answers, the machine is the command's.
            self.stand_by()
            done(well, said.replace("swaytrainer: ", "", 1) if wrong else said)

        process.finished.connect(lambda *_: finish())
        process.errorOccurred.connect(lambda *_: finish())
        arguments = json.dumps(arguments_of(self._home, order))
        process.write(f"{arguments}\n".encode())
        process.closeWriteChannel()

    def stand_by(self) -> None:
        """Have a process on call, unless there is one."""
        if self._on_call is None and not self._closed:
            self._on_call = self._started()

    def _take(self) -> QtCore.QProcess:
        """The process on call; a new one where there is none, or where it has ended."""
        process, self._on_call = self._on_call, None
        if process is not None and process.state() is not QtCore.QProcess.ProcessState.NotRunning:
            return process
        if process is not None:
            process.deleteLater()
        return self._started()

    def _started(self) -> QtCore.QProcess:
        process = QtCore.QProcess(self)
        environment = QtCore.QProcessEnvironment.systemEnvironment()
        environment.insert("PYTHONIOENCODING", "utf-8")
        # Tables are as wide as the terminal; here there is room.
        environment.insert("COLUMNS", "110")
        process.setProcessEnvironment(environment)
        process.start(sys.executable, ["-m", "swaytrainer.on_call", str(self._home)])
        return process

    def close(self) -> None:
        """Stop what was only asked, and what is on call."""
        self._closed = True
        there = [*self._running, *([] if self._on_call is None else [self._on_call])]
        self._on_call = None
        for process in there:
            self._running.discard(process)
            process.kill()
            process.waitForFinished(2000)
