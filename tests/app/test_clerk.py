"""The commands without a screen, against a simulated board on a pseudo-terminal."""

from itertools import repeat
from pathlib import Path

import pytest

from swaytrainer.board.guided import marked_spots
from swaytrainer.cli import main
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import SimulatedBoard
from swaytrainer.simulate.scenario import Empty, Scenario, Weight, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from tests.streams import board_of

pytest.importorskip("pty")
FAST = 6.0


def serve(board: SimulatedBoard, steps: tuple[Empty | Weight, ...]) -> SimulatorServer:
    loads = corner_loads(Scenario(steps), JUNIOR, 80.0, 220.0, 170.0, 1)
    return SimulatorServer.on_pty(board, loads, FAST)


def test_calibrate_finds_the_boards_gains(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = board_of(4)
    weights = [Weight(20.0, s.x_mm, s.y_mm, 3.0) for s in marked_spots(220.0, 170.0)]
    server = serve(board, (Empty(3.0), *weights, Empty(1e6)))
    try:
        arguments = ["--home", str(tmp_path), "--port", server.url, "calibrate", "--mass", "20"]
        assert main(arguments) == 0
    finally:
        server.close()
    told = capsys.readouterr().out
    assert "Leave the board empty." in told
    assert "Put 20 kg on rear right." in told
    found = Home(tmp_path).calibration(board.board_id)
    assert found is not None
    truth = board.true_calibration()
    assert found.gain_n_per_count == pytest.approx(truth.gain_n_per_count, rel=1e-3)
    assert found.offset_counts == pytest.approx(truth.offset_counts, abs=20.0)


def test_a_wrong_mass_on_one_mark_is_refused_and_nothing_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spots = marked_spots(220.0, 170.0)
    weights = [Weight(30.0 if n == 2 else 20.0, s.x_mm, s.y_mm, 3.0) for n, s in enumerate(spots)]
    server = serve(board_of(4), (Empty(3.0), *weights, Empty(1e6)))
    try:
        arguments = ["--home", str(tmp_path), "--port", server.url, "calibrate", "--mass", "20"]
        assert main(arguments) == 1
    finally:
        server.close()
    assert "beside its mark" in capsys.readouterr().err
    assert not (tmp_path / "boards").exists()


def test_a_board_pulled_out_while_calibrating_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    server = SimulatorServer.on_tcp(board_of(4), [(0.0,) * 4] * 200, FAST)
    try:
        arguments = ["--home", str(tmp_path), "--port", server.url, "calibrate", "--mass", "20"]
        assert main(arguments) == 1
    finally:
        server.close()
    assert "broke off" in capsys.readouterr().err


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
