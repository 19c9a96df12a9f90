"""The entry in the desktop's menu, against the Desktop Entry Specification's own validator."""

import argparse
import configparser
import shutil
import subprocess
import sys
from pathlib import Path

import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.app.menu import entry_text, exec_value, menu
from swaytrainer.errors import SwaytrainerError

#: ``desktop-file-validate`` of freedesktop.org's desktop-file-utils.
VALIDATOR = shutil.which("desktop-file-validate")


def unescaped(value: str) -> str:
    """A string value as the specification reads it."""
    out, letters = "", iter(value)
    special = {"s": " ", "n": "\n", "t": "\t", "r": "\r", "\\": "\\"}
    for letter in letters:
        out += special[next(letters)] if letter == "\\" else letter
    return out


def arguments_of(value: str) -> list[str]:
    """The Exec key's arguments as the specification reads them: unescape, unquote, field codes."""
    found: list[str] = []
    current, quoted, begun = "", False, False
    letters = iter(unescaped(value))
    for letter in letters:
        if letter == '"':
            quoted, begun = not quoted, True
        elif quoted and letter == "\\":
            current += next(letters)
        elif letter == " " and not quoted:
            if begun:
                found.append(current)
            current, begun = "", False
        else:
            current, begun = current + letter, True
    if begun:
        found.append(current)
    return [argument.replace("%%", "%") for argument in found]


@given(st.lists(st.text(st.characters(exclude_characters="\0", codec="utf-8")), min_size=1))
def test_any_path_comes_back_from_the_exec_key(arguments: list[str]) -> None:
    value = exec_value(arguments)
    assert "\n" not in value
    assert arguments_of(value) == arguments


def test_the_entry_is_written_valid_and_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data of Wren"))
    monkeypatch.setattr(sys, "platform", "linux")
    assert menu(argparse.Namespace(remove=False)) == 0
    (entry,) = tmp_path.rglob("*.desktop")
    if VALIDATOR is not None:
        told = subprocess.run([VALIDATOR, str(entry)], capture_output=True, text=True, check=False)
        assert (told.returncode, told.stdout) == (0, "")
    parser = configparser.ConfigParser(interpolation=None)
    parser.read_string(entry.read_text(encoding="utf-8"))
    group = parser["Desktop Entry"]
    assert group["Terminal"] == "false"
    assert Path(arguments_of(group["Exec"])[0]).exists()
    assert pygame.image.load(group["Icon"]).get_size() == (256, 256)
    for action in group["Actions"].split(";")[:-1]:
        *start, command = arguments_of(parser[f"Desktop Action {action}"]["Exec"])
        assert start == arguments_of(group["Exec"])
        assert command == action
    capsys.readouterr()
    assert menu(argparse.Namespace(remove=True)) == 0
    assert "Taken away" in capsys.readouterr().out
    assert not list(tmp_path.rglob("*.desktop"))
    assert menu(argparse.Namespace(remove=True)) == 0
    assert "none" in capsys.readouterr().out


def test_a_system_without_such_a_menu_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "platform", "win32")
    with pytest.raises(SwaytrainerError, match="README"):
        menu(argparse.Namespace(remove=False))


def test_a_folder_that_cannot_be_written_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "file"))
    monkeypatch.setattr(sys, "platform", "linux")
    with pytest.raises(SwaytrainerError, match="Can't write"):
        menu(argparse.Namespace(remove=False))


def test_every_command_of_the_menu_is_one() -> None:
    from swaytrainer.cli import parsed

    text = entry_text(["x"], Path("/i.png"))
    for line in text.splitlines():
        if line.startswith("Exec=x "):
            assert parsed([line.removeprefix("Exec=x ")]).command
