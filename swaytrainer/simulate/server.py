"""Puts a simulated board on a real pseudo-terminal or a local TCP port, at a real board's pace.

The board sleeps until it is asked for the first time, like one that starts when its port is
opened: so nothing of it is missed, and the same seed gives the host the same bytes.
"""

from __future__ import annotations

import contextlib
import os
import select
import socket
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Any, Final, Protocol, TypeVar

from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.board import BoardMake

_ASK: Final = b"\x81"  # the type of an ask stands plain in its COBS frame
_WAIT_S: Final = 0.05


L = TypeVar("L")
L_contra = TypeVar("L_contra", contravariant=True)


class Served(Protocol[L_contra]):
    """A board that can be served: it turns loads, one item a sample, into the wire's bytes."""

    @property
    def make(self) -> BoardMake:
        """How it was built; here for its rate."""
        ...

    @property
    def board_id(self) -> str:
        """16 hex digits."""
        ...

    def hello(self) -> bytes:
        """A hello frame."""
        ...

    def stream(self, loads: Iterable[L_contra]) -> Iterator[bytes]:
        """The bytes of each sample, hellos among them."""
        ...


class _Wire(Protocol):
    """One end of a line. ``fileno`` can be selected; ``receive`` gives b"" on the other's end."""

    def fileno(self) -> int: ...
    def receive(self) -> bytes: ...
    def send(self, data: bytes) -> int: ...


class _Pty:
    def __init__(self, fd: int) -> None:
        self._fd = fd

    def fileno(self) -> int:
        return self._fd

    def receive(self) -> bytes:
        return os.read(self._fd, 256)

    def send(self, data: bytes) -> int:
        return os.write(self._fd, data)


class _Tcp:
    def __init__(self, connection: socket.socket) -> None:
        self._connection = connection

    def fileno(self) -> int:
        return self._connection.fileno()

    def receive(self) -> bytes:
        return self._connection.recv(256)

    def send(self, data: bytes) -> int:
        return self._connection.send(data)


class SimulatorServer:
    """Serves one simulated board until its loads end or ``close`` is called.

    Use ``on_pty`` or ``on_tcp``; ``url`` is what pyserial opens.

    Args:
        board: the board.
        stream: its bytes, sample by sample.
        speed: board seconds a wall second.
    """

    def __init__(self, board: Served[Any], stream: Iterator[bytes], speed: float = 1.0) -> None:
        self.url = ""
        self.board_id = board.board_id
        self._hello = board.hello
        self._stream = stream
        self._anew: Callable[[], Iterator[bytes]] | None = None
        self._step_s = 1.0 / (board.make.rate_hz * speed)
        self._stop = threading.Event()
        self.ended = threading.Event()
        self._closers: list[int | socket.socket] = []
        self._thread: threading.Thread | None = None

    @classmethod
    def on_pty(cls, board: Served[L], loads: Iterable[L], speed: float = 1.0) -> SimulatorServer:
        """On a new pseudo-terminal.

        Raises:
            SwaytrainerError: this system has none.
        """
        try:
            import pty
            import tty
        except ImportError:
            raise SwaytrainerError(
                "This system has no pseudo-terminals.", "Use the TCP simulator instead."
            ) from None
        server = cls(board, board.stream(loads), speed)
        master, slave = pty.openpty()
        # In its default mode a pseudo-terminal translates bytes.
        tty.setraw(slave)
        server.url = os.ttyname(slave)
        # The slave stays open here: else the master reports a hang-up until the host opens it.
        server._closers += [master, slave]
        server._start(_Pty(master))
        return server

    @classmethod
    def on_tcp(
        cls,
        board: Served[L],
        loads: Iterable[L],
        speed: float = 1.0,
        port: int = 0,
        anew: Callable[[], Iterable[L]] | None = None,
    ) -> SimulatorServer:
        """On a local TCP port (0: any free one), for one host at a time.

        Args:
            board, loads, speed: as for the class.
            port: to listen on.
            anew: gives each host loads of its own; without it a second host meets what the first
                left of ``loads``.

        Raises:
            SwaytrainerError: the port is taken.
        """
        server = cls(board, board.stream(loads), speed)
        if anew is not None:
            server._anew = lambda: board.stream(anew())
        remedy = "Give another one, or 0 for any free one."
        if not 0 <= port <= 65_535:
            raise SwaytrainerError(f"Can't listen on port {port}: there is no such port.", remedy)
        try:
            listener = socket.create_server(("127.0.0.1", port))
        except OSError as error:
            raise SwaytrainerError(
                f"Can't listen on port {port}: {error.strerror}.", remedy
            ) from None
        server.url = f"socket://127.0.0.1:{listener.getsockname()[1]}"
        server._closers.append(listener)
        server._thread = threading.Thread(
            target=server._accept, args=(listener,), name="simulated board", daemon=True
        )
        server._thread.start()
        return server

    def close(self) -> None:
        """Pull the plug."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join(timeout=5.0)
        for closer in self._closers:
            with contextlib.suppress(OSError):
                if isinstance(closer, int):
                    os.close(closer)
                else:
                    closer.close()
        self._closers.clear()

    def _start(self, line: _Wire) -> None:
        self._thread = threading.Thread(
            target=self._serve, args=(line,), name="simulated board", daemon=True
        )
        self._thread.start()

    def _accept(self, listener: socket.socket) -> None:
        listener.settimeout(_WAIT_S)
        while not self._stop.is_set() and not self.ended.is_set():
            with contextlib.suppress(TimeoutError):
                connection, _ = listener.accept()
                with connection:
                    if self._anew is not None:
                        self._stream = self._anew()
                    connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                    self._serve(_Tcp(connection))

    def _serve(self, line: _Wire) -> None:
        with contextlib.suppress(OSError):
            if not self._asked(line, wait=True):
                return
            due_s = time.monotonic()
            for data in self._stream:
                due_s += self._step_s
                while (left_s := due_s - time.monotonic()) > 0:
                    time.sleep(min(left_s, _WAIT_S))
                    if self._stop.is_set():
                        return
                # The hello goes last: its sequence number is the newest.
                answer = self._hello() if self._asked(line, wait=False) else b""
                if not self._send(line, data + answer):
                    return
            self.ended.set()

    def _asked(self, line: _Wire, wait: bool) -> bool:
        """The host has asked; with ``wait``, as soon as it does."""
        while not self._stop.is_set():
            readable, _, _ = select.select([line], [], [], _WAIT_S if wait else 0)
            if readable:
                heard = line.receive()
                if not heard:
                    raise OSError("the host has gone")
                if _ASK in heard:
                    return True
            elif not wait:
                return False
        return False

    def _send(self, line: _Wire, data: bytes) -> bool:
        view = memoryview(data)
        while view:
            if self._stop.is_set():
                return False
            _, writable, _ = select.select([], [line], [], _WAIT_S)
            if writable:
                view = view[line.send(bytes(view[:1024])) :]
        return True
