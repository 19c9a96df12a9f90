"""``swaytrainer board`` against a simulated board: in a pipe, as a live table, and on a screen."""

import io
import math
from itertools import repeat
from pathlib import Path

import pytest

from swaytrainer.app import board as command
from swaytrainer.app.board_table import delay_words, floor_words, report_lines
from swaytrainer.cli import main
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.sitting.board_report import Delay, Floor
from swaytrainer.sitting.board_watch import BoardWatch
from swaytrainer.store.home import Home
from tests.sitting.test_board_watch import hello_of
from tests.streams import board_of, one_visit, received

pytest.importorskip("pty")
FAST = 6.0


def serve(seed: int = 4) -> SimulatorServer:
    return SimulatorServer.on_pty(board_of(seed), repeat((1.0, 2.0, 3.0, 4.0)), FAST)


def arguments(home: Path, url: str, *more: str) -> list[str]:
    return ["--home", str(home), "--port", url, "board", *more]


def test_board_tells_how_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    board = board_of(4)
    server = serve()
    home = Home(tmp_path)
    try:
        assert main(arguments(tmp_path, server.url, "--seconds", "0.5")) == 0
        told = capsys.readouterr().out
        assert board.board_id in told
        assert "not calibrated" in told
        assert "80.00 a second by the board's own clock" in told
        assert "lost 0, corrupt 0" in told
        assert "\x1b" not in told
        home.keep_calibration(board.true_calibration())
        assert main(arguments(tmp_path, server.url, "--seconds", "0.6")) == 0
        told = capsys.readouterr().out
        assert "calibrated 2026-01-01" in told
        assert "mm/s at 10 Hz (empty, scaled to 490 N); a cell 0.01" in told
        assert "front left          fine" in told
    finally:
        server.close()


def test_a_broken_calibration_is_told_and_the_counts_are_shown(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Home(tmp_path).keep_calibration(board_of(4).true_calibration())
    path.write_text("format = 1\n", encoding="utf-8")
    server = serve()
    try:
        assert main(arguments(tmp_path, server.url, "--seconds", "0.5")) == 0
    finally:
        server.close()
    told = capsys.readouterr().out
    assert "The calibration is of no use" in told
    assert "Not calibrated yet" in told


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf"])
def test_seconds_that_cannot_be(
    seconds: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments(tmp_path, "/dev/none", "--seconds", seconds)) == 1
    assert "Nobody can listen" in capsys.readouterr().err


def test_on_the_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    Home(tmp_path).keep_calibration(board_of(4).true_calibration())
    drawn: list[float] = []
    from swaytrainer.games import condition

    before = condition.draw_condition

    def counted(*args):  # type: ignore[no-untyped-def]
        drawn.append(args[1].samples)
        return before(*args)

    monkeypatch.setattr(condition, "draw_condition", counted)
    server = serve()
    try:
        assert main(arguments(tmp_path, server.url, "--screen", "--seconds", "0.6")) == 0
    finally:
        server.close()
    assert len(drawn) > 3
    assert drawn[-1] > drawn[0]
    assert "front left          fine" in capsys.readouterr().out


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_live_table_is_drawn_line_over_line_and_leaves_the_terminal_as_it_was() -> None:
    board = board_of(4)
    watch = BoardWatch(hello_of(board), board.true_calibration())
    out = _Terminal()
    table = command._Table(out, ["Board x"], lambda: (60, 12))
    items = received(board, one_visit())
    for n, item in enumerate(items[:400]):
        watch.feed(item)
        watch.worked_off(item.host_s)
        if n % 40 == 0:
            assert table.beat(watch, item.host_s)
    table.close()
    pages = out.getvalue().split("\x1b[H")
    assert len(pages) == 11  # one each half second: 40 samples, never oftener than it was asked
    for page in pages[1:]:
        lines = page.replace("\x1b[K", "").split("\x1b[J")[0].split("\r\n")
        assert len(lines) <= 11
        assert max(map(len, lines)) <= 59
    assert out.getvalue().startswith("\x1b[?1049h")
    assert out.getvalue().endswith("\x1b[?1049l")


def test_the_table_is_drawn_no_oftener_than_it_can_be_read() -> None:
    board = board_of(4)
    watch = BoardWatch(hello_of(board), None)
    out = _Terminal()
    table = command._Table(out, [], lambda: (80, 40))
    for n in range(60):
        table.beat(watch, n / 60.0)
    assert out.getvalue().count("\x1b[H") == 4


def test_ctrl_c_ends_a_live_table_well_and_breaks_off_a_pipe(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_: object) -> bool:
        raise KeyboardInterrupt

    monkeypatch.setattr(command._Pipe, "beat", interrupt)
    monkeypatch.setattr(command._Table, "beat", interrupt)
    server = serve()
    try:
        assert main(arguments(tmp_path, server.url)) == 130
        assert "cell " in capsys.readouterr().out
        monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
        assert main(arguments(tmp_path, server.url)) == 0
        told = capsys.readouterr().out
        assert told.index("\x1b[?1049l") < told.index("cell ")
    finally:
        server.close()


def test_words_where_there_is_nothing_to_say() -> None:
    board = board_of(4)
    watch = BoardWatch(hello_of(board), None)
    lines = "\n".join(report_lines(watch.report()))
    assert "nan" not in lines
    assert "! No signal" in lines
    assert delay_words(Delay()) == "–"
    assert floor_words(Floor(why="Clear it.")) == "– Clear it."
    floor = Floor(0.3, 250.0, 0.018, 0.016, dead=True)
    assert "under the dead 250 N on it)" in floor_words(floor)
    assert "7 s ago" in floor_words(floor._replace(age_s=7.2, why="Something moves."))
    assert math.isnan(watch.report().rate_hz)
