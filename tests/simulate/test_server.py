"""The simulated board on its lines."""

import socket
import time
from itertools import repeat

import pytest

from swaytrainer.board import wire
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.server import SimulatorServer
from tests.streams import board_of

LOADS = (1.0, 2.0, 3.0, 4.0)


def address(url: str) -> tuple[str, int]:
    host, port = url.removeprefix("socket://").split(":")
    return host, int(port)


def test_it_sleeps_until_it_is_asked_and_ends_with_its_loads() -> None:
    server = SimulatorServer.on_tcp(board_of(), [LOADS] * 20, speed=50.0)
    with socket.create_connection(address(server.url), timeout=5.0) as line:
        line.settimeout(0.2)
        with pytest.raises(TimeoutError):
            line.recv(100)
        line.settimeout(5.0)
        line.sendall(wire.encode_ask())
        data = b""
        while piece := line.recv(1000):
            data += piece
    frames = list(wire.Decoder().feed(data))
    assert isinstance(frames[0], wire.Hello)
    assert sum(isinstance(f, wire.Sample) for f in frames) == 20
    assert server.ended.wait(5.0)
    server.close()


def test_a_second_host_goes_on_where_the_first_left() -> None:
    server = SimulatorServer.on_tcp(board_of(), repeat(LOADS), speed=50.0)
    for _ in range(2):
        with socket.create_connection(address(server.url), timeout=5.0) as line:
            line.sendall(wire.encode_ask())
            assert line.recv(1000)
    server.close()


def test_a_taken_port_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(SwaytrainerError, match="Can't listen"):
            SimulatorServer.on_tcp(board_of(), [LOADS], port=port)


def test_the_pace_is_the_boards() -> None:
    """Not a claim of speed: a server that sent all at once would be no board."""
    pytest.importorskip("pty")
    server = SimulatorServer.on_tcp(board_of(), [LOADS] * 41, speed=1.0)
    with socket.create_connection(address(server.url), timeout=5.0) as line:
        begin = time.monotonic()
        line.sendall(wire.encode_ask())
        while line.recv(1000):
            pass
        # 41 samples at 80 a second: never earlier, on however slow a machine.
        assert time.monotonic() - begin >= 0.5
    server.close()


def test_each_host_may_get_loads_of_its_own() -> None:
    server = SimulatorServer.on_tcp(board_of(), [], speed=50.0, anew=lambda: repeat(LOADS, 10**6))
    for _ in range(2):
        with socket.create_connection(address(server.url), timeout=5.0) as line:
            line.sendall(wire.encode_ask())
            assert line.recv(1000)
    server.close()


@pytest.mark.parametrize("port", [99_999, -5])
def test_a_port_that_cannot_be_is_told(port: int) -> None:
    with pytest.raises(SwaytrainerError, match="Can't listen"):
        SimulatorServer.on_tcp(board_of(), [LOADS], port=port)
