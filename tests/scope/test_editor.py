"""The level editor's tab, off screen."""

import contextlib
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
from PySide6 import QtCore, QtWidgets
from PySide6.QtTest import QTest

from swaytrainer.app.editor import command
from swaytrainer.cli import _parser
from swaytrainer.scope.asking import Asking
from swaytrainer.scope.editor import Editor
from swaytrainer.scope.tryout import Tried
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.words import use_language

SHORE = shipped_levels()[0]
APPLICATION = QtWidgets.QApplication.instance() or QtWidgets.QApplication([])


def place_of(editor: Editor, name: str) -> int:
    return next(n for n, row in enumerate(editor._rows) if row.name == name)


def type_in(editor: Editor, name: str, value: str) -> None:
    item = editor.table.item(place_of(editor, name), 1)
    assert item is not None
    item.setText(value)


def test_change_undo_judge_save_try(tmp_path: Path) -> None:
    tried: list[tuple[Level, str]] = []
    home = Home(tmp_path)
    editor = Editor(tmp_path / "levels", lambda level, text: tried.append((level, text)))
    before = editor.text
    type_in(editor, "seconds", "900")
    assert "must lie between 5 and 120" in editor.verdict.text()
    editor.try_on()
    editor.save()
    assert not tried
    assert not (tmp_path / "levels").exists()
    editor.undo_stack.undo()
    assert editor.text == before
    type_in(editor, "seconds", "12")
    editor.change(place_of(editor, "feedback"), "sound")
    editor.save()
    assert "Saved" in editor.verdict.text()
    level = next(level for level in home.levels()[0] if level.id == "millpond-shore-ours")
    assert (level.seconds, level.feedback) == (12.0, "sound")
    editor.try_on()
    assert tried[0][0] == level
    type_in(editor, "seconds", "13")
    editor.save()  # its own file may be replaced
    assert next(v for v in home.levels()[0] if v.id == level.id).seconds == 13.0
    editor.close_down()


def test_the_demo_takes_the_level_that_is_tried(tmp_path: Path) -> None:
    editor = Editor(tmp_path / "home" / "levels", lambda *_: None)
    editor.file_name.setText("0-ours")
    editor.save()
    level = editor.level()
    assert level is not None
    assert Home(tmp_path / "home").levels()[0][0] == level
    options = _parser().parse_args(command(level, tmp_path)[3:])
    assert options.command == "demo"
    assert options.seconds == level.seconds
    assert options.home == tmp_path / "home"
    assert options.language == "en"
    editor.close_down()


def test_a_level_of_another_game_has_its_own_numbers(tmp_path: Path) -> None:
    editor = Editor(tmp_path, lambda *_: None)
    editor.open("108-picnic-clover.toml")
    assert "gust_s" in [row.name for row in editor._rows]
    editor.close_down()


def test_editing_a_cell_leaves_no_editor_behind(tmp_path: Path) -> None:
    """Typed by key: with Enter, with Tab, a value that adds a row, one that takes it out."""
    heard: list[str] = []
    QtCore.qInstallMessageHandler(lambda _kind, _where, message: heard.append(message))
    try:
        editor = Editor(tmp_path, lambda *_: None)
        editor.show()
        APPLICATION.processEvents()
        table = editor.table

        def typed(name: str, text: str, key: QtCore.Qt.Key) -> None:
            table.setCurrentCell(place_of(editor, name), 1)
            item = table.currentItem()
            assert item is not None
            table.editItem(item)
            line = table.indexWidget(table.currentIndex())
            assert isinstance(line, QtWidgets.QLineEdit)
            line.selectAll()
            QTest.keyClicks(line, text)
            QTest.keyClick(line, key)
            APPLICATION.processEvents()

        many = table.rowCount()
        typed("seconds", "17", QtCore.Qt.Key.Key_Return)
        typed("rest_s", "12.5", QtCore.Qt.Key.Key_Tab)
        last = max(int(row.name.split()[1]) for row in editor._rows if "caution" in row.name)
        typed(f"caution {last}", "Hands near.", QtCore.Qt.Key.Key_Return)
        assert table.rowCount() == many + 1
        editor.undo_stack.undo()
        assert table.rowCount() == many
        level = editor.level()
        assert level is not None
        assert (level.seconds, level.rest_s) == (17.0, 12.5)
        editor.close_down()
        editor.close()
    finally:
        QtCore.qInstallMessageHandler(None)
    assert not [message for message in heard if "Editor" in message]


def test_in_german_all_is_german_and_the_file_is_not(tmp_path: Path) -> None:
    use_language("de")
    try:
        editor = Editor(tmp_path, lambda *_: None)
        headings = [editor.table.horizontalHeaderItem(n) for n in range(4)]
        assert [h.text() for h in headings if h is not None] == [
            "Feld", "Wert", "Bereich", "was es ist",
        ]  # fmt: skip
        type_in(editor, "rest_s", "12,5")
        item = editor.table.item(place_of(editor, "rest_s"), 1)
        assert item is not None
        assert item.text() == "12,5"
        assert "rest_s = 12.5" in editor.text
        type_in(editor, "seconds", "900")
        assert "ist 900, muss aber zwischen 5 und 120 s liegen" in editor.verdict.text()
        assert "Feld „Sekunden“" in editor.verdict.text()
        type_in(editor, "seconds", "20")
        eyes = editor.table.cellWidget(place_of(editor, "eyes"), 1)
        assert isinstance(eyes, QtWidgets.QComboBox)
        assert eyes.currentText() == "offen"
        eyes.setCurrentIndex(1)
        eyes.activated.emit(1)
        assert 'eyes = "closed"' in editor.text
        assert "Feld „Hilfestellung“" in editor.verdict.text()
        editor.close_down()
    finally:
        use_language("en")


def answer_with_pid(level: Level) -> Tried:
    return Tried(1, 1, (9.0,), remark=f"{level.id} {os.getpid()}")


def never_done(_level: Level) -> Tried:
    """As many simulated vaulters as never end, one of them in a process of its own."""
    helper = multiprocessing.get_context("spawn").Process(target=time.sleep, args=(600.0,))
    helper.start()
    while True:
        time.sleep(1.0)


def group_of(pid: int) -> list[int]:
    """The living processes of a process group."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError, ValueError):
            state, _, group = (folder / "stat").read_text().rpartition(")")[2].split()[:3]
            if int(group) == pid and state != "Z":
                found.append(int(folder.name))
    return found


def until(wanted: Callable[[], bool]) -> None:
    for _ in range(600):
        if wanted():
            return
        time.sleep(0.1)
    raise AssertionError("waited in vain")


def test_who_is_asked_answers_again_and_again_and_ends() -> None:
    asking = Asking(answer_with_pid)
    for _ in range(2):
        asking.ask(SHORE)
        asking.ask(SHORE)  # one question at a time
        found: list[Tried | str] = []

        def answered(found: list[Tried | str] = found) -> bool:
            told = asking.answer()
            if told is not None:
                found.append(told)
            return told is not None

        until(answered)
        assert isinstance(found[0], Tried)
        assert found[0].remark == f"{SHORE.id} {asking.pid}"
    asking.close()
    assert asking.pid is None
    asking.close()


@pytest.mark.skipif(sys.platform != "linux", reason="asks /proc")
def test_who_is_asked_ends_with_all_it_started() -> None:
    asking = Asking(never_done)
    asking.ask(SHORE)
    pid = asking.pid
    assert pid is not None
    until(lambda: len(group_of(pid)) >= 2)
    asking.close()
    until(lambda: not group_of(pid))


@pytest.mark.skipif(sys.platform != "linux", reason="asks /proc")
@pytest.mark.parametrize("ending", [signal.SIGTERM, signal.SIGKILL])
def test_nothing_lives_on_when_the_window_is_ended(tmp_path: Path, ending: int) -> None:
    told = tmp_path / "pid"
    window = subprocess.Popen(
        [sys.executable, "-m", "tests.scope.asking_window", str(told)],
        cwd=Path(__file__).parents[2],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )
    until(lambda: told.exists() and bool(told.read_text()))
    pid = int(told.read_text())
    until(lambda: len(group_of(pid)) >= 2)
    window.send_signal(ending)
    window.wait(60)
    until(lambda: not group_of(pid))


def test_how_many_would_pass_is_shown(tmp_path: Path) -> None:
    editor = Editor(tmp_path, lambda *_: None, answer_with_pid)
    editor.ask()
    assert "stand …" in editor.effect.text()

    def seen() -> bool:
        APPLICATION.processEvents()
        return "About 1 of 1" in editor.effect.text()

    until(seen)
    editor.close_down()


def test_a_copy_comes_behind_its_model_with_its_own_title_and_its_bases_cautions(
    tmp_path: Path,
) -> None:
    home = Home(tmp_path)
    editor = Editor(home.path / "levels", lambda *_: None)
    editor.open("10-millpond-shore.toml")
    editor.change(place_of(editor, "spotter"), "true")
    editor.change(place_of(editor, "base"), "still barrel")
    editor.save()
    assert "cautions are still those of another base" in editor.verdict.text()
    assert not any((home.path / "levels").glob("*.toml"))
    editor.change(place_of(editor, "base"), "firm")
    editor.change(place_of(editor, "pass_mark"), "7")
    editor.save()
    levels = home.levels()[0]
    assert levels[0].id == "millpond-shore", "a beginner's first rung is as it was"
    assert (levels[1].id, levels[1].title) == (
        "millpond-shore-ours",
        f"{levels[0].title} (ours)",
    )
    editor.close_down()


def test_what_is_not_saved_is_not_left_without_a_question(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    editor = Editor(tmp_path, lambda *_: None)
    editor.open("10-millpond-shore.toml")
    editor.change(place_of(editor, "pass_mark"), "7")
    for sure, kept in ((False, True), (True, False)):
        monkeypatch.setattr(editor, "sure", lambda answer=sure: answer)
        editor._chosen("20-millpond-open-water.toml")
        level = editor.level()
        assert level is not None
        assert (level.pass_mark == 7.0) is kept
    editor.close_down()
