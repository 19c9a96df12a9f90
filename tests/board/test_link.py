"""The link on real pseudo-terminals and sockets: finding, refusing, losing and finding again."""

import os
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received, Silence
from swaytrainer.board.link import Link, find_board
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.scenario import Empty, Scenario, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from tests.streams import board_of

pty = pytest.importorskip("pty", reason="this system has no pseudo-terminals")

FAST = 20.0  # board seconds a wall second: the tests need not wait


def loads(seconds: float = 1e6) -> Iterator[tuple[float, float, float, float]]:
    from swaytrainer.simulate.athlete import JUNIOR

    return corner_loads(Scenario((Empty(seconds),)), JUNIOR, 80.0, 220.0, 170.0, 1)


def until(link: Link, enough: Callable[[list[Arrival]], bool]) -> list[Arrival]:
    got: list[Arrival] = []
    give_up_s = time.monotonic() + 20.0
    while not enough(got):
        assert time.monotonic() < give_up_s, f"nothing more came after {got[-3:]}"
        got += link.poll()
        time.sleep(0.005)
    return got


def samples(got: list[Arrival]) -> list[wire.Sample]:
    decoder = wire.Decoder()
    return [
        frame
        for item in got
        if isinstance(item, Received)
        for frame in decoder.feed(item.data)
        if isinstance(frame, wire.Sample)
    ]


@contextmanager
def raw_pty(talk: bytes = b"") -> Iterator[tuple[str, int]]:
    import tty

    master, slave = pty.openpty()
    tty.setraw(slave)
    stop = threading.Event()

    def run() -> None:
        while not stop.wait(0.01):
            if talk:
                os.write(master, talk)

    thread = threading.Thread(target=run)
    thread.start()
    try:
        yield os.ttyname(slave), master
    finally:
        stop.set()
        thread.join()
        os.close(master)
        os.close(slave)


@pytest.mark.parametrize("over", ["pty", "tcp"])
def test_every_byte_from_the_first_hello_on(over: str) -> None:
    board = board_of()
    expected = list(board_of().stream(loads(5.0)))
    serve = SimulatorServer.on_pty if over == "pty" else SimulatorServer.on_tcp
    server = serve(board, loads(), FAST)
    link = Link(find_board([server.url], time.monotonic), time.monotonic)
    try:
        got = until(link, lambda items: len(samples(items)) >= 300)
    finally:
        link.close()
        server.close()
    first = [f for piece in expected for f in wire.Decoder().feed(piece)]
    truth = [f for f in first if isinstance(f, wire.Sample)][:300]
    # Hellos in answer to further asks shift the sequence, not the samples.
    assert [s[1:] for s in samples(got)[:300]] == [s[1:] for s in truth]
    assert link.hello.board_id == board.board_id


def test_the_board_is_found_among_other_ports() -> None:
    server = SimulatorServer.on_pty(board_of(), loads(), FAST)
    with raw_pty(b"$GPGGA,nothing of ours\r\n") as (other, _):
        found = find_board(["/dev/does-not-exist", other, server.url], time.monotonic)
        found.port.close()
    server.close()
    assert found.url == server.url


@pytest.mark.parametrize(
    ("talk", "why"),
    [
        (b"", "silent"),
        (b"$GPGGA,nothing of ours\r\n", "not a swaytrainer board"),
        (b"\0" + wire.encode_frame(wire.HELLO, 0, b"\x09new"), "wire version 9.*Update"),
        (b"\0" + wire.encode_sample(wire.Sample(1, 2, 0, 3, 4, 5, 6)), "samples but no hello"),
    ],
)
def test_what_is_no_board_is_told(talk: bytes, why: str) -> None:
    with raw_pty(talk) as (url, _), pytest.raises(SwaytrainerError, match=why):
        find_board([url], time.monotonic)


def test_missing_ports_are_told() -> None:
    with pytest.raises(SwaytrainerError, match="nothing at /dev/none"):
        find_board(["/dev/none"], time.monotonic)
    with pytest.raises(SwaytrainerError, match="no serial port"):
        find_board([], time.monotonic)
    with pytest.raises(SwaytrainerError, match="Can't open"):
        find_board(["bogus://x"], time.monotonic)
    with pytest.raises(SwaytrainerError, match="No board answered") as caught:
        find_board(["/dev/none1", "/dev/none2"], time.monotonic)
    assert "none1" in str(caught.value)
    assert "none2" in str(caught.value)
    # A port that was surely free a moment ago.
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    with pytest.raises(SwaytrainerError):
        find_board([f"socket://127.0.0.1:{port}"], time.monotonic)


def test_a_busy_port_is_told() -> None:
    server = SimulatorServer.on_pty(board_of(), loads(), FAST)
    found = find_board([server.url], time.monotonic)
    try:
        with pytest.raises(SwaytrainerError, match="busy"):
            find_board([server.url], time.monotonic)
    finally:
        found.port.close()
        server.close()


def test_no_right_to_a_port_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import errno

    import serial

    def refuse(_self: object) -> None:
        raise serial.SerialException(errno.EACCES, "could not open port: Permission denied")

    monkeypatch.setattr(serial.Serial, "open", refuse)
    with pytest.raises(SwaytrainerError, match=r"No right.*dialout"):
        find_board(["/dev/ttyUSB0"], time.monotonic)


def test_another_board_at_the_port_is_refused_if_one_is_wanted() -> None:
    server = SimulatorServer.on_pty(board_of(2), loads(), FAST)
    try:
        with pytest.raises(SwaytrainerError, match="Another board"):
            find_board([server.url], time.monotonic, board_id=board_of(1).board_id)
    finally:
        server.close()


def test_unplugged_and_plugged_in_elsewhere_goes_on_by_itself() -> None:
    first = SimulatorServer.on_pty(board_of(), loads(), FAST)
    urls = [first.url]
    link = Link(find_board(urls, time.monotonic), time.monotonic, lambda: urls)
    second = None
    try:
        until(link, lambda items: len(samples(items)) > 50)
        first.close()
        got = until(link, lambda items: any(isinstance(i, LinkBroken) for i in items))
        assert [type(i) for i in got].count(LinkBroken) == 1
        until(link, lambda items: any(isinstance(i, Silence) for i in items))
        second = SimulatorServer.on_pty(board_of(), loads(), FAST)
        urls[:] = [second.url]
        until(link, lambda items: len(samples(items)) > 50)
    finally:
        link.close()
        if second is not None:
            second.close()


@contextmanager
def board_that_says_hello_once() -> Iterator[tuple[Link, int]]:
    with raw_pty() as (url, master):
        hello = wire.Hello(0, 1, 0, (0, 0, 1), "0" * 16, 80.0, 4, 24, 0)

        def answer() -> None:
            os.read(master, 1000)
            os.write(master, wire.encode_hello(hello))

        thread = threading.Thread(target=answer)
        thread.start()
        link = Link(find_board([url], time.monotonic), time.monotonic)
        thread.join()
        try:
            yield link, master
        finally:
            link.close()


def test_a_silent_board_is_told_and_asked_again() -> None:
    with board_that_says_hello_once() as (link, master):
        got = until(link, lambda items: sum(isinstance(i, Silence) for i in items) >= 2)
        silences = [i for i in got if isinstance(i, Silence)]
        assert silences[1].silent_s > silences[0].silent_s >= 0.5
        assert wire.encode_ask() in os.read(master, 1000)


def test_polling_never_waits_and_closing_twice_is_harmless() -> None:
    with board_that_says_hello_once() as (link, _):
        assert any(isinstance(i, Received) for i in link.poll())
        assert link.poll() == []
        link.close()


def test_closing_in_the_middle_of_a_search_lets_every_port_go() -> None:
    import serial

    with board_that_says_hello_once() as (link, master), raw_pty() as (silent, _):
        link._search = lambda: [silent] * 3
        os.close(os.dup(master))
        assert link._port is not None
        link._port.close()  # pulled out
        until(link, lambda items: any(isinstance(i, LinkBroken) for i in items))
        time.sleep(0.7)  # the search is on
        link.close()
        assert not link._thread.is_alive()
        # Nobody holds it: it opens exclusively.
        serial.Serial(silent, exclusive=True).close()


@pytest.mark.parametrize("rate_hz", [0.0, 4_000_000.0])
def test_a_mad_rate_is_told(rate_hz: float) -> None:
    hello = wire.Hello(0, 1, 0, (0, 0, 1), "0" * 16, rate_hz, 4, 24, 0)
    with (
        raw_pty(b"\0" + wire.encode_hello(hello)) as (url, _),
        pytest.raises(SwaytrainerError, match="samples a second"),
    ):
        find_board([url], time.monotonic)
