"""Questions to a process of its own, so that the window stays alive; it ends with the window."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Final

from swaytrainer.scope.tryout import Tried
from swaytrainer.training.level import Level

#: Whoever is asked to end has so long until it is made to.
_LAST_S: Final = 2.0


class Asking:
    """One question at a time, each about a level.

    The process begins with the first question and is kept: what it has loaded and reckoned serves
    the next. It and all that it starts end with ``close``; and by themselves where the window's
    process is killed.

    Args:
        answer: is sent to the process, so it must be a function of a module, or such a one with
            its first arguments.
    """

    def __init__(self, answer: Callable[[Level], Tried]) -> None:
        self._answer = answer
        self._process: BaseProcess | None = None
        self._connection: Connection | None = None
        self.waiting = False

    @property
    def pid(self) -> int | None:
        """Of the process; None while there is none."""
        return None if self._process is None else self._process.pid

    def ask(self, level: Level) -> None:
        """Ask; nothing happens while an answer is waited for."""
        if self.waiting:
            return
        if self._process is None:
            spawn = multiprocessing.get_context("spawn")
            self._connection, theirs = spawn.Pipe()
            # No daemon: those may start nothing, and reading a long record is shared out.
            self._process = spawn.Process(target=_serve, args=(theirs, self._answer))
            self._process.start()
            theirs.close()
        self.waiting = True
        with contextlib.suppress(OSError):  # it has ended; ``answer`` tells
            self._sent_to().send(level)

    def answer(self) -> Tried | str | None:
        """The answer, or in a string why there is none; None while it is waited for."""
        if not self.waiting or not self._sent_to().poll():
            return None
        self.waiting = False
        try:
            told: Tried | str = self._sent_to().recv()
        except (EOFError, OSError):
            self.close()
            return "the process ended"
        return told

    def _sent_to(self) -> Connection:
        assert self._connection is not None
        return self._connection

    def close(self) -> None:
        """End the process, whatever it is at."""
        process, self._process = self._process, None
        connection, self._connection = self._connection, None
        self.waiting = False
        if process is None or connection is None:
            return
        _end(process.pid, signal.SIGTERM)
        process.terminate()
        process.join(_LAST_S)
        if process.is_alive():
            _end(process.pid, getattr(signal, "SIGKILL", signal.SIGTERM))
            process.kill()
            process.join()
        connection.close()


def _end(pid: int | None, how: signal.Signals) -> None:
    """End a process's own group, where there are groups and it has one."""
    if pid is None or not hasattr(os, "killpg"):
        return
    with contextlib.suppress(OSError):
        # Before its first line it is still in the window's group, which must live on.
        if os.getpgid(pid) == pid:
            os.killpg(pid, how)


def _serve(connection: Connection, answer: Callable[[Level], Tried]) -> None:
    """The process's whole life."""
    if hasattr(os, "setpgid"):
        os.setpgid(0, 0)
    threading.Thread(target=_end_with_the_window, daemon=True).start()
    while True:
        try:
            level = connection.recv()
        except EOFError:
            return
        told: Tried | str
        try:
            told = answer(level)
        except Exception as error:
            told = f"{type(error).__name__}: {error}"
        connection.send(told)


def _end_with_the_window() -> None:
    window = multiprocessing.parent_process()
    if window is None:
        return
    window.join()
    _end(os.getpid(), getattr(signal, "SIGKILL", signal.SIGTERM))
    os._exit(1)
