"""``swaytrainer check`` against a simulated board on a pseudo-terminal."""

from argparse import Namespace
from collections.abc import Callable, Iterator
from itertools import groupby
from pathlib import Path

import pytest
from pygame import Surface

from swaytrainer.app import check as command
from swaytrainer.app.screen import Pressed, Screen
from swaytrainer.cli import main
from swaytrainer.errors import SwaytrainerError
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.fault import Fault
from swaytrainer.simulate.leaning import check_visit
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from tests.board.verdicts import verdict_of

pytest.importorskip("pty")
FAST = 8.0
#: A board drifts while it warms up; a check begins with the empty board, so this doesn't matter.
SEED = 6


@pytest.fixture
def home(tmp_path: Path) -> Home:
    home = Home(tmp_path)
    home.keep_calibration(SimulatedBoard(DECENT, SEED).true_calibration())
    return home


def serve(fault: Fault | None = None) -> SimulatorServer:
    board = SimulatedBoard(DECENT, SEED)
    board.afflict(fault)
    return SimulatorServer.on_pty(board, check_visit(JUNIOR, 20.0, 80.0, 220.0, 170.0, SEED), FAST)


def run(home: Home, server: SimulatorServer, *more: str) -> int:
    try:
        return main(
            ["--home", str(home.path), "--port", server.url, "check", "--mass", "20", *more]
        )
    finally:
        server.close()


def files(home: Home) -> Iterator[Path]:
    return (home.path / "boards").glob("*/*")


def test_a_good_board_passes(home: Home, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(home, serve()) == 0
    told = capsys.readouterr().out
    assert "PASS: 20 kg read" in told
    for prompt in (
        "Leave the board empty",
        "LEFT",
        "RIGHT",
        "HEELS",
        "TOES",
        "20 kg on the middle",
    ):
        assert prompt in told
    assert len(list(files(home))) == 1


def test_a_fix_is_offered_and_kept_only_when_wanted(
    home: Home, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(home, serve(Fault.SWAPPED)) == 1
    told = capsys.readouterr().out
    assert "FAIL: The cables of the cells" in told
    assert "--fix" in told
    assert len(list(files(home))) == 1
    assert run(home, serve(Fault.SWAPPED), "--fix") == 1
    assert "Kept as" in capsys.readouterr().out
    assert len(list(files(home))) == 2
    assert run(home, serve(Fault.SWAPPED)) == 0


@pytest.mark.parametrize(("answer", "kept"), [("y", 2), ("n", 1), ("", 1)])
def test_a_yes_is_asked_for(
    answer: str, kept: int, home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda _prompt: answer)
    assert run(home, serve(Fault.REVERSED)) == 1
    assert len(list(files(home))) == kept


def test_a_dead_cell_is_named(home: Home, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(home, serve(Fault.DEAD)) == 1
    told = capsys.readouterr().out
    assert "FAIL: " in told
    assert "cell" in told


def test_a_board_with_a_wrong_id_is_told_from_one_without_a_calibration(
    home: Home, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(home, serve(Fault.ID)) == 1
    told = capsys.readouterr().err
    assert f"has no calibration, but {SimulatedBoard(DECENT, SEED).board_id} has one." in told
    assert "its id is wrong" in told
    assert run(Home(tmp_path / "new"), serve()) == 1
    assert "Run 'swaytrainer calibrate --mass KG' first." in capsys.readouterr().err


def test_a_board_that_falls_silent_is_told(home: Home, capsys: pytest.CaptureFixture[str]) -> None:
    board = SimulatedBoard(DECENT, SEED)
    assert run(home, SimulatorServer.on_pty(board, [(0.0,) * 4] * 300, FAST)) == 1
    assert "broke off" in capsys.readouterr().err


class _Keys:
    """A window that is pressed: a frame's keys, and what was drawn of it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, answers: dict[str, str]) -> None:
        from swaytrainer.app import screen
        from swaytrainer.games import checking

        self.drawn: list[str] = []
        monkeypatch.setattr(screen.Screen, "off_screen", property(lambda _self: False))
        for name in ("draw_cautions", "draw_checking", "draw_verdict", "draw_trouble"):
            monkeypatch.setattr(checking, name, self._noted(name, getattr(checking, name)))

        def pressed(_screen: screen.Screen) -> screen.Pressed:
            key = answers.get(self.drawn[-1]) if self.drawn else None
            return screen.Pressed((key,) if key else (), key == "escape")

        monkeypatch.setattr(screen.Screen, "_pressed", pressed)

    def _noted(self, name: str, draw: Callable[..., object]) -> Callable[..., object]:
        def noted(*args: object) -> object:
            self.drawn.append(name)
            return draw(*args)

        return noted

    @property
    def pages(self) -> list[str]:
        """Each page once, in order."""
        return [name for name, _ in groupby(self.drawn)]


def test_on_the_screen_cautions_come_first_and_a_key_keeps_the_fix(
    home: Home, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = _Keys(monkeypatch, {"draw_cautions": "space", "draw_verdict": "f"})
    assert run(home, serve(Fault.SWAPPED), "--screen") == 1
    assert keys.pages == ["draw_cautions", "draw_checking", "draw_verdict"]
    told = capsys.readouterr().out
    assert told.index("Before you step on") < told.index("Board ")
    assert "Kept as" in told
    assert len(list(files(home))) == 2


@pytest.mark.parametrize(("key", "kept"), [("f", 2), ("return", 1), ("click", 1)])
def test_on_the_screen_only_one_key_keeps_the_fix(
    key: str, kept: int, home: Home, capsys: pytest.CaptureFixture[str]
) -> None:
    verdict = verdict_of(SEED, Fault.REVERSED)
    assert verdict is not None

    class Shown(Screen):
        off_screen = property(lambda _self: False)

        def __init__(self) -> None:
            pass

        def show(self, draw: Callable[[Surface], object], seconds: float) -> Pressed:
            draw(Surface((640, 480), 0, 32))
            return Pressed((key,), False)

    command._offer(verdict, Namespace(fix=False, mass=20.0), home, None, Shown())
    assert ("Nothing was changed." in capsys.readouterr().out) == (kept == 1)
    assert len(list(files(home))) == kept


def test_whoever_leaves_at_the_cautions_wakes_no_board(
    home: Home, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = _Keys(monkeypatch, {"draw_cautions": "escape"})
    assert run(home, serve(), "--screen") == 1
    told = capsys.readouterr()
    assert "not begun" in told.err
    assert "Board " not in told.out.replace("Board on a mat", "")
    assert keys.pages == ["draw_cautions"]


def test_whoever_leaves_in_the_middle_is_told_that_it_is_no_verdict(
    home: Home, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = _Keys(monkeypatch, {"draw_cautions": "space", "draw_checking": "escape"})
    assert run(home, serve(), "--screen") == 1
    assert "neither passed nor failed" in capsys.readouterr().err
    assert keys.pages == ["draw_cautions", "draw_checking"]


def test_trouble_is_shown_where_one_looks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    keys = _Keys(monkeypatch, {"draw_cautions": "space", "draw_trouble": "space"})
    assert run(Home(tmp_path / "new"), serve(), "--screen") == 1
    assert keys.pages == ["draw_cautions", "draw_trouble"]
    assert "has no calibration" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_is_told_before_the_first_step(
    home: Home, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_home: Home) -> None:
        raise SwaytrainerError("Nothing can be kept.", "Give another.")

    monkeypatch.setattr(Home, "check_writable", refuse)
    assert run(home, serve()) == 0
    told = capsys.readouterr().out
    assert told.index("could not be kept") < told.index("Leave the board empty")
    # With --fix there is no point in a minute's work.
    assert run(home, serve(Fault.SWAPPED), "--fix") == 1
    failed = capsys.readouterr()
    assert "Nothing can be kept." in failed.err
    assert "Leave the board empty" not in failed.out
