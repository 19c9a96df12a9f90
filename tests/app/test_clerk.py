"""The commands without a screen, against a simulated board on a pseudo-terminal."""

import math
from itertools import repeat
from pathlib import Path

import pytest

from swaytrainer.app.clerk import noise_words
from swaytrainer.cli import main
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from tests.streams import board_of

pytest.importorskip("pty")
FAST = 6.0


def test_board_tells_how_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    board = board_of(4)
    server = SimulatorServer.on_pty(board, repeat((1.0, 2.0, 3.0, 4.0)), FAST)
    home = Home(tmp_path)
    arguments = ["--home", str(tmp_path), "--port", server.url, "board", "--seconds", "0.5"]
    try:
        assert main(arguments) == 0
        told = capsys.readouterr().out
        assert board.board_id in told
        assert "not calibrated" in told
        assert "80.00 a second by the board's own clock" in told
        assert "lost 0, corrupt 0" in told
        home.keep_calibration(board.true_calibration())
        assert main(arguments) == 0
        told = capsys.readouterr().out
        assert "calibrated 2026-01-01" in told
        assert "mm/s at 10 Hz (empty, scaled to 500 N); a cell 0.01" in told
    finally:
        server.close()


def heard(force_n: float, wobble_n: float = 0.0) -> list[tuple[float, ...]]:
    board = board_of(4)
    rows: list[tuple[float, ...]] = []
    for n in range(400):
        load = force_n / 4 + wobble_n * math.sin(n / 20)
        seen = board.observe((load,) * 4)
        assert seen is not None
        rows.append((seen.time_s, *seen.counts))
    return rows


def test_the_noise_floor_of_an_empty_board_and_under_a_dead_weight() -> None:
    calibration = board_of(4).true_calibration()
    empty, dead = (noise_words(heard(force_n), calibration) for force_n in (0.0, 250.0))
    assert "empty, scaled to 500 N" in empty
    assert "under the dead 250 N on it" in dead
    # Twice the force, half the floor.
    floors = [float(words.split()[2]) for words in (empty, dead)]
    assert floors[1] == pytest.approx(2 * floors[0], rel=0.25)
    assert "something moves" in noise_words(heard(400.0, 5.0), calibration)
    assert "too little" in noise_words(heard(0.0)[:20], calibration)
    assert "too little" in noise_words([], calibration)
