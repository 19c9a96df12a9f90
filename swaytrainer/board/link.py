"""The link: reads a board in a thread of its own, and puts what happens into a queue.

Any pyserial URL will do: a port's name, ``socket://host:port`` for a bridge or the simulator.
"""

from __future__ import annotations

import contextlib
import errno
import queue
import select
import threading
import time
from collections.abc import Callable, Iterable
from functools import reduce
from typing import Final

import serial
from serial.tools import list_ports

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received, Silence
from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import say

#: A board started by the opening of its port needs this long until its first hello.
HELLO_WITHIN_S: Final = 2.5
_ASK_EVERY_S: Final = 0.5
_SILENCE_EVERY_S: Final = 0.5
_WAIT_S: Final = 0.02
_READ: Final = 4096
_POLL_S: Final = 0.002

Clock = Callable[[], float]


def open_port(url: str) -> serial.SerialBase:
    """Open a port for reading what has come, without ever waiting.

    Raises:
        SwaytrainerError: missing, busy, no rights; says what to do.
    """
    try:
        port = serial.serial_for_url(url, do_not_open=True)
        port.baudrate = wire.BAUD
        port.timeout = 0
        port.write_timeout = 1.0
        if "://" not in url:
            port.exclusive = True
        port.open()
    except Exception as error:  # pulled out while it is opened, it may raise nearly anything
        raise _port_error(url, error) from None
    return port


def _port_error(url: str, error: Exception) -> SwaytrainerError:
    number = error.errno if isinstance(error, OSError) else None
    text = str(error).lower()
    if number in (errno.EACCES, errno.EPERM) or "permission" in text or "access is denied" in text:
        return SwaytrainerError(
            say("No right to open {port}.", port=url),
            "Add yourself to the port's group (on Debian: 'sudo adduser $USER dialout', then log"
            " in again), or close the program that uses it.",
        )
    if number in (errno.EBUSY, errno.EAGAIN) or "busy" in text or "exclusively lock" in text:
        return SwaytrainerError(
            say("{port} is busy: another program has it open.", port=url),
            "Close that program and try again.",
        )
    if number == errno.ENOENT or "could not open" in text or "no such file" in text:
        return SwaytrainerError(
            say("There is nothing at {port}.", port=url),
            "Plug the board in and check the name; without --port it is searched for.",
        )
    return SwaytrainerError(
        say("Can't open {port}: {error}.", port=url, error=str(error)),
        "Check the port's name and the cable.",
    )


def candidates() -> list[str]:
    """The names of the machine's serial ports."""
    return sorted(p.device for p in list_ports.comports())


class _Waiter:
    """Waits for bytes without reading them, where the port has something to wait on."""

    def __init__(self, port: serial.SerialBase) -> None:
        try:
            self._fd: int | None = port.fileno()
            select.select([self._fd], [], [], 0)
        except (OSError, ValueError, AttributeError):
            self._fd = None  # a Windows port: look every few milliseconds

    def wait(self, seconds: float) -> None:
        if self._fd is not None:
            select.select([self._fd], [], [], seconds)
        else:
            time.sleep(min(seconds, _POLL_S))


class NoPortError(SwaytrainerError):
    """There is no port that a board could be at."""


class Found:
    """An open port on which a board has said hello, and what it said since (to be used first)."""

    def __init__(
        self, url: str, port: serial.SerialBase, hello: wire.Hello, first: list[Received]
    ) -> None:
        self.url = url
        self.port = port
        self.hello = hello
        self.first = first


def _never() -> bool:
    return False


def find_board(
    urls: Iterable[str],
    clock: Clock,
    board_id: str | None = None,
    stopped: Callable[[], bool] = _never,
) -> Found:
    """Ask each port in turn until a board says hello.

    Args:
        urls: where to look.
        clock: host time in s.
        board_id: take only this board, if given.
        stopped: asked again and again; once it is true, nothing is found any more.

    Raises:
        SwaytrainerError: none found; says what was met at each port.
    """
    met: list[SwaytrainerError] = []
    for url in urls:
        try:
            return _ask(url, clock, board_id, stopped)
        except SwaytrainerError as error:
            met.append(error)
    if len(met) == 1:
        raise met[0]
    if met:
        raise SwaytrainerError(
            reduce(
                lambda one, other: say("{one} {other}", one=one, other=other),
                (e.what for e in met),
                "No board answered.",
            ),
            "Plug the board in, wait three seconds, and try again.",
        )
    raise NoPortError(
        "There is no serial port on this machine.",
        "Plug the board in, or try 'swaytrainer demo' without one.",
    )


def _ask(url: str, clock: Clock, board_id: str | None, stopped: Callable[[], bool]) -> Found:
    port = open_port(url)
    try:
        decoder = wire.Decoder()
        waiter = _Waiter(port)
        first: list[Received] = []
        heard = 0
        # The patience is the wall's, whatever clock stamps the bytes.
        end_s = time.monotonic() + HELLO_WITHIN_S
        ask_s = 0.0
        while (now_s := time.monotonic()) < end_s and not stopped():
            if now_s >= ask_s:
                port.write(wire.encode_ask())
                ask_s = now_s + _ASK_EVERY_S
            waiter.wait(_WAIT_S)
            data = port.read(_READ)
            if not data:
                continue
            heard += len(data)
            first.append(Received(clock(), data))
            for frame in decoder.feed(data):
                if isinstance(frame, wire.Hello):
                    _check_hello(frame, url, board_id)
                    if stopped():
                        break
                    return Found(url, port, frame, first)
        if decoder.counters.good:
            raise SwaytrainerError(
                say("The board at {port} sends samples but no hello.", port=url),
                "Unplug it, plug it in again; if that doesn't help, update its firmware.",
            )
        if heard:
            raise SwaytrainerError(
                say("Something talks at {port}, but it is not a swaytrainer board.", port=url),
                "Choose the right port with --port, or unplug the other device.",
            )
        raise SwaytrainerError(
            say("{port} is silent.", port=url),
            "Check the board's power and cable, then plug it in again.",
        )
    except SwaytrainerError:
        port.close()
        raise
    except Exception as error:
        # Not only OSError: a port that is pulled out at this moment raises whatever the system's
        # own layer does (termios has an error of its own), and the search must go on.
        port.close()
        raise SwaytrainerError(
            say("{port} broke off: {error}.", port=url, error=str(error)),
            "Check the cable, then plug the board in again.",
        ) from None


def _check_hello(hello: wire.Hello, url: str, board_id: str | None) -> None:
    if hello.wire_major != wire.WIRE_MAJOR:
        raise SwaytrainerError(
            say(
                "The board at {port} speaks wire version {wire}; this program knows {known}.",
                port=url,
                wire=hello.wire_major,
                known=wire.WIRE_MAJOR,
            ),
            "Update swaytrainer.",
        )
    if not 1.0 <= hello.rate_hz <= 100_000.0:
        raise SwaytrainerError(
            say(
                "The board at {port} announces {rate:g} samples a second.",
                port=url,
                rate=hello.rate_hz,
            ),
            "Update its firmware.",
        )
    if hello.cells not in (4, 8):
        raise SwaytrainerError(
            say(
                "The board at {port} has {cells} load cells; four are needed, or eight for two"
                " plates.",
                port=url,
                cells=hello.cells,
            ),
            "Update its firmware or use another board.",
        )
    if board_id is not None and hello.board_id != board_id:
        raise SwaytrainerError(
            say(
                "Another board ({other}) is at {port}, not {board}.",
                other=hello.board_id,
                port=url,
                board=board_id,
            ),
            "Plug the first board in again.",
        )


class Link:
    """A board being read. ``poll`` never waits; the thread ends with ``close``.

    Args:
        found: from ``find_board``.
        clock: host time in s, monotone.
        search: where to look for the same board when its port has failed.
    """

    def __init__(
        self, found: Found, clock: Clock, search: Callable[[], Iterable[str]] | None = None
    ) -> None:
        self.hello = found.hello
        self._clock = clock
        self._search = search or (lambda: [found.url, *candidates()])
        self._queue: queue.SimpleQueue[Arrival] = queue.SimpleQueue()
        for received in found.first:
            self._queue.put(received)
        self._port: serial.SerialBase | None = found.port
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="board link", daemon=True)
        self._thread.start()

    def poll(self) -> list[Arrival]:
        """All that has come since the last call, in order."""
        items: list[Arrival] = []
        with contextlib.suppress(queue.Empty):
            while True:
                items.append(self._queue.get_nowait())
        return items

    def close(self) -> None:
        """Stop reading and let the port go."""
        self._stop.set()
        self._thread.join(timeout=5.0)
        if self._port is not None:
            self._port.close()
            self._port = None

    def _run(self) -> None:
        while not self._stop.is_set():
            if self._port is None:
                self._reconnect()
                continue
            try:
                self._read(self._port)
            except Exception as error:
                # OSError, SerialException, termios.error, TypeError (pyserial's answer to a port
                # that is closed under it): whatever it is, the thread must live to reconnect.
                with contextlib.suppress(Exception):
                    self._port.close()
                self._port = None
                if not self._stop.is_set():
                    self._queue.put(LinkBroken(self._clock(), str(error)))

    def _read(self, port: serial.SerialBase) -> None:
        waiter = _Waiter(port)
        # Silence is counted in the wall's seconds, whatever clock stamps the bytes.
        heard_s = said_s = time.monotonic()
        while not self._stop.is_set():
            waiter.wait(_WAIT_S)
            data = port.read(_READ)
            stamp_s, now_s = self._clock(), time.monotonic()
            if data:
                heard_s = said_s = now_s
                self._queue.put(Received(stamp_s, data))
            elif now_s - said_s >= _SILENCE_EVERY_S:
                said_s = now_s
                self._queue.put(Silence(stamp_s, now_s - heard_s))
                # A board that was started anew on the same port waits to be asked.
                port.write(wire.encode_ask())

    def _reconnect(self) -> None:
        broken_s = time.monotonic()
        while not self._stop.wait(_SILENCE_EVERY_S):
            with contextlib.suppress(SwaytrainerError):
                found = find_board(
                    self._search(), self._clock, self.hello.board_id, self._stop.is_set
                )
                for received in found.first:
                    self._queue.put(received)
                self._port = found.port
                return
            self._queue.put(Silence(self._clock(), time.monotonic() - broken_s))
