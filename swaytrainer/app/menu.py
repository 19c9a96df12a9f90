"""``swaytrainer menu``: an icon in the desktop's menu, so that nobody needs a terminal again.

The entry follows the Desktop Entry Specification of freedesktop.org, version 1.4: a text file that
Linux desktops read from the user's data folder. Windows and macOS know no such file; there the
README says what to do by hand.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
from pathlib import Path
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import Name, say

_ICON_PX: Final = 256
#: Of the Exec key: "reserved characters", and what stays special within the quotes.
_RESERVED: Final = set(" \t\n\"'\\><~|&;$*?#()`")
_SPECIAL: Final = re.compile(r'(["`$\\])')
_NAMES: Final = {
    "": ("Balance training", "Stand upright and supple: marks, games and a record"),
    "[de]": ("Balance-Training", "Aufrecht und locker stehen: Noten, Spiele und Protokoll"),
}
_ACTIONS: Final = {
    "office": ("The coach's desk", "Schreibtisch", "office"),
    "scope": ("The coach's window", "Fenster zum Zusehen", "scope"),
}


def menu(options: argparse.Namespace) -> int:
    """Put the entry there, or take it away; its exit status.

    Raises:
        SwaytrainerError: this system has no such menu, or the folder can't be written.
    """
    if not sys.platform.startswith(("linux", "freebsd")):
        raise SwaytrainerError(
            say("This system's menu can't be written by a program."),
            say("The README says in 'Without a terminal' what to do by hand."),
        )
    data = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    entry = data / "applications" / "swaytrainer.desktop"
    icon = data / "icons" / "hicolor" / f"{_ICON_PX}x{_ICON_PX}" / "apps" / "swaytrainer.png"
    try:
        if options.remove:
            there = [path for path in (entry, icon) if path.exists()]
            for path in there:
                path.unlink()
            print("Taken away." if there else "There was none.")
            return 0
        icon.parent.mkdir(parents=True, exist_ok=True)
        entry.parent.mkdir(parents=True, exist_ok=True)
        _draw_icon(icon)
        entry.write_text(entry_text(_program(), icon), encoding="utf-8")
    except OSError as error:
        raise SwaytrainerError(
            say(
                "Can't write {path}: {why}.",
                path=Name(error.filename),
                why=Name(error.strerror),
            ),
            say("Look at the folder's rights and space."),
        ) from None
    print(f"swaytrainer is in the desktop's menu now: {entry}")
    return 0


def _program() -> list[str]:
    """What starts this very installation, with its errors on a window."""
    script = Path(sys.executable).with_name("swaytrainer-window")
    if script.exists():
        return [str(script)]
    return [sys.executable, "-m", "swaytrainer.by_icon"]


def entry_text(program: list[str], icon: Path) -> str:
    """The entry's text.

    >>> print(entry_text(["/opt/a b/run"], Path("/i.png")).splitlines()[8])
    Exec="/opt/a b/run"
    """
    lines = ["[Desktop Entry]", "Version=1.4", "Type=Application", "Name=swaytrainer"]
    for tail, (kind, comment) in _NAMES.items():
        lines += [f"GenericName{tail}={kind}", f"Comment{tail}={comment}"]
    lines += [
        f"Exec={exec_value(program)}",
        f"Icon={_value(str(icon))}",
        "Terminal=false",
        "Categories=Education;",
        f"Actions={''.join(f'{action};' for action in _ACTIONS)}",
    ]
    for action, (name, german, command) in _ACTIONS.items():
        lines += [
            "",
            f"[Desktop Action {action}]",
            f"Name={name}",
            f"Name[de]={german}",
            f"Exec={exec_value([*program, command])}",
        ]
    return "\n".join(lines) + "\n"


def exec_value(arguments: list[str]) -> str:
    r"""Arguments as the Exec key wants them: quoted where needed, then escaped as any string.

    >>> exec_value(["/a/b", "50 %", "a$b"])
    '/a/b "50 %%" "a\\\\$b"'
    """
    return _value(" ".join(_quoted(argument) for argument in arguments))


def _quoted(argument: str) -> str:
    argument = argument.replace("%", "%%")
    if argument and not _RESERVED & set(argument):
        return argument
    return '"' + _SPECIAL.sub(r"\\\1", argument) + '"'


def _value(text: str) -> str:
    r"""A string value: the specification's escapes for backslash, newline, tab, return."""
    for plain, escaped in (("\\", "\\\\"), ("\n", "\\n"), ("\t", "\\t"), ("\r", "\\r")):
        text = text.replace(plain, escaped)
    return text


def _draw_icon(path: Path) -> None:
    import pygame

    from swaytrainer.games.icon import icon

    # Written under its right name only when it is whole.
    beside = path.with_name(path.stem + ".new.png")
    pygame.image.save(icon(_ICON_PX), str(beside))
    beside.replace(path)
