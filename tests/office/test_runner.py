"""The desk's commands: each in a process of its own, from one that waits with all loaded."""

import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
from PySide6 import QtCore, QtWidgets

from swaytrainer.office.orders import Order
from swaytrainer.office.runner import Runner

KEPT = Path(__file__).parents[2] / "sessions"


@pytest.fixture(scope="module")
def application() -> QtWidgets.QApplication:
    made = QtWidgets.QApplication.instance() or QtWidgets.QApplication(["test"])
    assert isinstance(made, QtWidgets.QApplication)
    return made


@pytest.fixture
def home(tmp_path: Path) -> Path:
    day = tmp_path / "recordings" / "2026-09-12"
    day.mkdir(parents=True)
    for path in KEPT.glob("*.sway"):
        shutil.copy(path, day)
    return tmp_path


def until(application: QtWidgets.QApplication, so: Callable[[], bool]) -> None:
    give_up_s = time.monotonic() + 60.0
    while not so():
        application.processEvents(QtCore.QEventLoop.ProcessEventsFlag.AllEvents, 50)
        assert time.monotonic() < give_up_s


def asked(application: QtWidgets.QApplication, runner: Runner, *arguments: str) -> tuple[bool, str]:
    told: list[tuple[bool, str]] = []
    runner.ask(Order(arguments), lambda well, said: told.append((well, said)))
    assert runner.busy
    until(application, lambda: bool(told))
    return told[0]


def test_each_command_is_answered_by_a_process_of_its_own(
    application: QtWidgets.QApplication, home: Path
) -> None:
    runner = Runner(home)
    runner.stand_by()
    waiting = runner._on_call
    assert waiting is not None
    well, said = asked(application, runner, "list")
    assert well
    assert "2-romy-calm.sway" in said
    assert runner._on_call is not None, "the next one is on call already"
    assert runner._on_call is not waiting
    well, said = asked(application, runner, "progress", "--", "Nobody")
    assert not well
    assert "There is no counted trial of 'Nobody'" in said
    assert not said.startswith("swaytrainer")
    runner.close()


def test_a_name_that_looks_like_an_option_an_umlaut_and_a_line_break_arrive_whole(
    application: QtWidgets.QApplication, home: Path
) -> None:
    runner = Runner(home)
    for name in ("--yes", "Ädla 🐎", "a\nb"):
        well, said = asked(application, runner, "progress", "--", name)
        assert not well
        assert repr(name) in said
    runner.close()


def test_a_wrong_order_is_told_and_one_that_waits_for_an_answer_gets_none(
    application: QtWidgets.QApplication, home: Path
) -> None:
    runner = Runner(home)
    well, said = asked(application, runner, "no-such-command")
    assert not well
    assert "no-such-command" in said
    well, said = asked(application, runner, "person", "erase", "Romy")
    assert not well
    assert "the name was not typed" in said
    runner.close()


def test_a_process_that_died_while_it_waited_is_replaced(
    application: QtWidgets.QApplication, home: Path
) -> None:
    runner = Runner(home)
    runner.stand_by()
    waiting = runner._on_call
    assert waiting is not None
    waiting.waitForStarted(10_000)
    waiting.kill()
    waiting.waitForFinished(10_000)
    well, said = asked(application, runner, "list")
    assert well, said
    runner.close()


def test_the_desk_leaves_no_process_behind(application: QtWidgets.QApplication, home: Path) -> None:
    runner = Runner(home)
    runner.stand_by()
    waiting = runner._on_call
    assert waiting is not None
    told: list[str] = []
    runner.ask(Order(("list",)), lambda _well, said: told.append(said))
    runner.close()
    assert waiting.state() is QtCore.QProcess.ProcessState.NotRunning
    runner.stand_by()
    assert runner._on_call is None
    assert told == []
    assert not runner.busy
