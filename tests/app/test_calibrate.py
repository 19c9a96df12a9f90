"""``swaytrainer calibrate`` against a simulated board on a pseudo-terminal."""

import os
import tty
from collections.abc import Iterator
from pathlib import Path

import pytest

os.environ["SDL_VIDEODRIVER"] = "dummy"

from swaytrainer.app import calibrate as command
from swaytrainer.app.board_finder import find_only_board
from swaytrainer.app.listening import counts_of
from swaytrainer.board.arrivals import Received
from swaytrainer.board.calibration import Calibration
from swaytrainer.board.calibration_file import to_toml
from swaytrainer.board.gravity import normal_gravity
from swaytrainer.board.guided import few_spots, marked_spots
from swaytrainer.board.pair import PairCalibration, Plate
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.simulate.pair import SimulatedPair
from swaytrainer.simulate.scenario import Empty, Scenario, Step, Weight, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from tests.streams import board_of

pty = pytest.importorskip("pty")
FAST = 6.0
LATITUDE = 52.5
SPOTS = marked_spots(220.0, 170.0)


def serve(
    board: SimulatedBoard, steps: tuple[Empty | Weight, ...], gravity: float = 9.80665
) -> SimulatorServer:
    loads = corner_loads(Scenario(steps), JUNIOR, 80.0, 220.0, 170.0, 1, gravity_m_s2=gravity)
    return SimulatorServer.on_pty(board, loads, FAST)


def on_the_marks(mass_kg: float = 20.0, few: bool = False) -> list[Empty | Weight]:
    spots = few_spots(220.0, 170.0) if few else SPOTS
    return [Weight(mass_kg, s.x_mm, s.y_mm, 2.5) for s in spots]


def arguments(home: Path, url: str, *more: str) -> list[str]:
    return ["--home", str(home), "--port", url, "calibrate", "--mass", "20", *more]


def test_calibrate_with_two_masses_finds_the_boards_gains(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = board_of(4)
    steps = (Empty(3.0), *on_the_marks(), *on_the_marks(10.0, few=True), Empty(1e6))
    server = serve(board, steps, normal_gravity(LATITUDE))
    picture = tmp_path / "residuals.png"
    more = ["--mass", "10", "--latitude", str(LATITUDE), "--picture", str(picture)]
    try:
        assert main(arguments(tmp_path, server.url, *more)) == 0
    finally:
        server.close()
    told = capsys.readouterr().out
    assert "1 of 16: Leave the board empty." in told
    assert "Put 20 kg on rear right." in told
    assert "Put 10 kg on rear left." in told
    assert "16 of 16: Take the mass off" in told
    assert "95 %" in told
    assert picture.stat().st_size > 1000
    found = Home(tmp_path).calibration(board.board_id)
    assert isinstance(found, Calibration)
    truth = board.true_calibration()
    assert found.gain_n_per_count == pytest.approx(truth.gain_n_per_count, rel=1e-3)
    assert found.offset_counts == pytest.approx(truth.offset_counts, abs=20.0)
    assert found.gravity_m_s2 == normal_gravity(LATITUDE)
    assert found.uncertainty is not None


def test_two_plates_are_calibrated_one_after_the_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pair = SimulatedPair(seed=4)
    nothing = (0.0,) * 4
    spots = marked_spots(90.0, 170.0)
    marks = [Weight(20.0, s.x_mm, s.y_mm, 2.5) for s in spots]
    steps: tuple[Step, ...] = (Empty(3.0), *marks, Empty(1e6))
    size = ["--half-width", "90", "--half-depth", "170"]
    for plate in Plate:
        loads = corner_loads(Scenario(steps), JUNIOR, 80.0, 90.0, 170.0, 1)
        both = ((w, nothing) if plate is Plate.LEFT else (nothing, w) for w in loads)
        server = SimulatorServer.on_pty(pair, both, FAST)
        try:
            if plate is Plate.LEFT:
                assert main(arguments(tmp_path, server.url, *size)) == 1
                assert "--plate left, then --plate right" in capsys.readouterr().err
            more = [*size, "--plate", plate, "--plates-apart", "200"]
            assert main(arguments(tmp_path, server.url, *more)) == 0
        finally:
            server.close()
        told = capsys.readouterr().out
        assert ("--plate right" in told) == (plate is Plate.LEFT)
    found = Home(tmp_path).calibration(pair.board_id)
    assert isinstance(found, PairCalibration)
    assert found.apart_mm == 200.0
    truth = pair.true_calibration()
    for plate in Plate:
        want = truth.plate(plate).gain_n_per_count
        assert found.plate(plate).gain_n_per_count == pytest.approx(want, rel=1e-3)


def test_calibrate_on_the_screen(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    server = serve(board_of(4), (Empty(3.0), *on_the_marks(), Empty(1e6)))
    try:
        assert main(arguments(tmp_path, server.url, "--screen")) == 0
    finally:
        server.close()
    told = capsys.readouterr().out
    assert "Kept as" in told
    assert "give --latitude" in told
    assert "neither its weight nor the board's linearity is checked" in told


def test_a_wrong_mass_and_a_skipped_mark_are_told_and_nothing_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    wrong = [
        Weight(20.0, 0.0, 0.0, 2.5),
        Weight(30.0, SPOTS[1].x_mm, SPOTS[1].y_mm, 2.5),
        Weight(20.0, SPOTS[1].x_mm, SPOTS[1].y_mm, 2.5),
        Weight(20.0, SPOTS[3].x_mm, SPOTS[3].y_mm, 2.5),
    ]
    server = serve(board_of(4), (Empty(3.0), *wrong))
    before = Home(tmp_path).keep_calibration(board_of(4).true_calibration())
    kept = before.read_bytes()
    try:
        # The simulated board falls silent when its script ends, like one that is unplugged.
        assert main(arguments(tmp_path, server.url)) == 1
    finally:
        server.close()
    told = capsys.readouterr()
    assert "about 30" in told.out
    assert "Not on the front yet: it seems to lie on front right" in told.out
    assert "broke off" in told.err
    assert "nothing was changed" in told.err
    assert list(before.parent.iterdir()) == [before]
    assert before.read_bytes() == kept


def test_pounds_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    server = serve(board_of(4), (Empty(3.0), *on_the_marks(), Empty(1e6)))
    try:
        there = ["--home", str(tmp_path), "--port", server.url, "calibrate", "--mass", "44.1"]
        assert main(there) == 1
    finally:
        server.close()
    assert "If these are pounds, give --mass 20" in capsys.readouterr().err
    assert not (tmp_path / "boards").exists()


def test_a_folder_that_cannot_be_written_is_told_before_the_board_is_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a-file").write_text("")
    assert main(arguments(tmp_path / "a-file" / "home", "/dev/none")) == 1
    told = capsys.readouterr()
    assert "Nothing can be kept in the data folder" in told.err
    assert "--home" in told.err
    assert told.out == ""


def test_ctrl_c_keeps_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "_follow", interrupt)
    server = serve(board_of(4), (Empty(1e6),))
    try:
        assert main(arguments(tmp_path, server.url)) == 130
    finally:
        server.close()
    assert "nothing was changed" in capsys.readouterr().out
    assert not (tmp_path / "boards").exists()


def test_a_missing_cell_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    server = serve(board_of(4, BoardMake(dead_cell=2)), (Empty(1e6),))
    try:
        assert main(arguments(tmp_path, server.url)) == 1
    finally:
        server.close()
    assert "No signal from the rear left cell" in capsys.readouterr().err


def test_a_broken_older_calibration_does_not_stop_a_new_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    board = board_of(4)
    broken = tmp_path / "boards" / board.board_id / "calibration-20200101T000000.toml"
    broken.parent.mkdir(parents=True)
    broken.write_text(to_toml(board.true_calibration())[:100], encoding="utf-8")
    server = serve(board, (Empty(3.0), *on_the_marks(), Empty(1e6)))
    try:
        assert main(arguments(tmp_path, server.url)) == 0
    finally:
        server.close()
    assert "The older calibration is of no use" in capsys.readouterr().out
    assert broken.exists()
    assert len(list(broken.parent.iterdir())) == 2


def test_another_board_in_the_middle_is_refused() -> None:
    def hello_then_samples(seed: int) -> Iterator[Received]:
        for n, data in enumerate(board_of(seed).stream([(0.0,) * 4] * 100)):
            yield Received(n / 80.0, data)

    both = [*hello_then_samples(1), *hello_then_samples(2)]
    with pytest.raises(SwaytrainerError, match="Another board"):
        list(counts_of(both, 80.0, board_of(1).board_id))
    assert len(list(counts_of(both[:100], 80.0, board_of(1).board_id))) == 100


def test_two_boards_at_once_are_named_and_a_port_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    from swaytrainer.app import board_finder

    first, second = (serve(board_of(seed), (Empty(1e6),)) for seed in (1, 2))
    master, slave = pty.openpty()
    tty.setraw(slave)
    silent = os.ttyname(slave)
    monkeypatch.setattr(board_finder, "candidates", lambda: [first.url, silent, second.url])
    try:
        with pytest.raises(SwaytrainerError, match="2 boards answer") as caught:
            find_only_board(None, time.monotonic)
        for server in (first, second):
            assert server.url in caught.value.what
        assert "--port" in caught.value.remedy
        # Both ports were let go again, and with a port given there is no question.
        found = find_only_board(second.url, time.monotonic)
        found.port.close()
        assert found.hello.board_id == board_of(2).board_id
        monkeypatch.setattr(board_finder, "candidates", lambda: [silent, second.url])
        found = find_only_board(None, time.monotonic)
        found.port.close()
        assert found.url == second.url
        monkeypatch.setattr(board_finder, "candidates", lambda: [silent, "/dev/none"])
        with pytest.raises(SwaytrainerError, match=r"No board answered.*silent"):
            find_only_board(None, time.monotonic)
    finally:
        first.close()
        second.close()
        os.close(master)
        os.close(slave)


@pytest.mark.parametrize(
    ("more", "why"),
    [
        (["--gravity", "9.81", "--latitude", "50"], "given twice"),
        (["--gravity", "981"], "nowhere 981"),
        (["--latitude", "120"], "no latitude of 120"),
        (["--mass-within", "0"], "--mass-within 0"),
        (["--placed-within", "nan"], "--placed-within nan"),
        (["--cell-kg", "-1"], "No cell of -1 kg"),
    ],
)
def test_options_that_cannot_be(
    more: list[str], why: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments(tmp_path, "/dev/none", *more)) == 1
    assert why in capsys.readouterr().err
