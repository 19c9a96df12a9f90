"""The commands without a screen, against a simulated board on a pseudo-terminal."""

from itertools import repeat
from pathlib import Path

import pytest

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
        assert "calibrated 2026-01-01" in capsys.readouterr().out
    finally:
        server.close()
