"""The level editor's tab, off screen."""

import os
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
from PySide6 import QtWidgets

from swaytrainer.app.editor import command
from swaytrainer.cli import _parser
from swaytrainer.scope.editor import Editor
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level

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
    editor.close_down()


def test_a_level_of_another_game_has_its_own_numbers(tmp_path: Path) -> None:
    editor = Editor(tmp_path, lambda *_: None)
    editor.open("108-picnic-clover.toml")
    assert "gust_s" in [row.name for row in editor._rows]
    editor.close_down()
