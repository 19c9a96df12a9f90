"""A level file being edited: its fields with unit, range and sense, and each change as new text.

Nothing is copied here of what a level may hold: words come from ``training.level`` and the games,
senses and ranges of the common fields from the tables of ``training/LEVELS.md``, and whether all is
well is asked of ``read_level``. Comments and order of the file stay.
"""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path
from typing import Any, Final, NamedTuple

import tomlkit
from tomlkit.exceptions import TOMLKitError

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import replace_file
from swaytrainer.training.feedback import FEEDBACKS
from swaytrainer.training.level import BASES, EYES, STANCES, Level
from swaytrainer.training.level_file import read_level, shipped_files
from swaytrainer.training.tasks.catalogue import KINDS, markable
from swaytrainer.words import Name, number, say, tr, translated

#: Where a field stands: ("seconds",), ("task", "gusts") or ("marked", 0, "all_at").
Place = tuple[str | int, ...]
_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "game": tuple(KINDS),
    "base": BASES,
    "stance": STANCES,
    "eyes": EYES,
    "feedback": tuple(FEEDBACKS),
    "spotter": ("true", "false"),
}
#: A level's form, not its content.
_LEFT_ALONE: Final = ("format", "[[marked]]", "[task]")


class FieldRow(NamedTuple):
    """One field: where it stands, its value as text, its range (or words) and its sense.

    Range and sense are in the language in use, and so is a number's decimal sign. ``choices`` holds
    the words it may be as the file has them, none where it is free; ``shown`` how they are read.
    """

    place: Place
    value: str
    limits: str
    sense: str
    choices: tuple[str, ...] = ()
    shown: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Its name in the language in use."""
        if self.place[0] == "marked":
            field = tr(str(self.place[2]))
            return translated("marked {n}: {field}", n=int(self.place[1]) + 1, field=Name(field))
        if self.place[0] == "cautions":
            return translated("caution {n}", n=int(self.place[1]) + 1)
        return tr(str(self.place[-1]))

    @property
    def name(self) -> str:
        """Its name in the file, and of a marked measure which one."""
        if self.place[0] == "marked":
            return f"marked {int(self.place[1]) + 1}: {self.place[2]}"
        if self.place[0] == "cautions":
            return f"caution {int(self.place[1]) + 1}"
        return str(self.place[-1])


def tables() -> dict[str, tuple[str, str]]:
    """Sense and range of each field in ``LEVELS.md``, without its marks."""
    text = (resources.files("swaytrainer.training") / "LEVELS.md").read_text(encoding="utf-8")
    found: dict[str, tuple[str, str]] = {}
    for line in text.split("\n## The games")[0].splitlines():
        cells = [cell.strip() for cell in line.strip().strip("|").split(" | ")]
        if len(cells) == 3 and (name := re.fullmatch(r"`([^`]+)`", cells[0])):
            meant = _plain(cells[1]).removesuffix(": see below")
            found.setdefault(name[1], (meant, _plain(cells[2])))
    return found


def _plain(text: str) -> str:
    return text.replace("`", "").replace("*", "")


def rows(text: str) -> list[FieldRow]:
    """Every field of a level's text, those of its game that it leaves out included.

    Raises:
        SwaytrainerError: it is no TOML.
    """
    document = _parsed(text)
    told = tables()
    game = str(document.get("game", ""))
    kind = KINDS.get(game)
    found = []
    for name, (meant, limits) in told.items():
        if name in _LEFT_ALONE or name in ("measure", "nothing_at", "all_at", "weight"):
            continue
        value = document.get(name)
        if name == "cautions" and isinstance(value, list | type(None)):
            # Each its own row, and an empty one to add another.
            found += [
                FieldRow((name, n), _text(line), translated("text; empty takes it out"), tr(meant))
                for n, line in enumerate([*(value or []), ""])
            ]
            continue
        words = _WORDS.get(name, ())
        # Of the spotter the table tells more than the words: when it must be true.
        may_be = (
            ", ".join(tr(word) for word in words) if words and name != "spotter" else tr(limits)
        )
        sense = tr(meant)
        found.append(FieldRow((name,), _text(value), may_be, sense, words, tuple(map(tr, words))))
    task = document.get("task", {})
    for name, field in kind.fields.items() if kind is not None else ():
        limits = translated(
            "{low} to {high} {unit}; else {usual}",
            low=number(field.low, "g"),
            high=number(field.high, "g"),
            unit=field.unit,
            usual=number(field.usual, "g"),
        ).replace(" ;", ";")
        found.append(FieldRow(("task", name), _text(task.get(name)), limits, tr(field.meaning)))
    measures = tuple(markable(game)) if kind is not None else ()
    for n, part in enumerate(document.get("marked", [])):
        for name in ("measure", "nothing_at", "all_at", "weight"):
            sense, limits = (tr(told_) for told_ in told[name])
            words = measures if name == "measure" else ()
            shown = tuple(f"{tr(markable(game)[word].label)} · {word}" for word in words)
            of = str(part.get("measure", ""))
            if name in ("nothing_at", "all_at") and of in measures:
                markable_ = markable(game)[of]
                limits = translated(
                    "from 0, in {unit}; more is better"
                    if markable_.more_is_better
                    else "from 0, in {unit}; less is better",
                    unit=markable_.unit,
                )
            place = ("marked", n, name)
            found.append(FieldRow(place, _text(part.get(name)), limits, sense, words, shown))
    return found


def changed(text: str, place: Place, value: str) -> str:
    """The text with another value at a place; all else stays, comments too.

    Args:
        text: a level file's.
        place: of a ``FieldRow``.
        value: as typed; "" takes a caution or a number of the game's own out.

    Raises:
        SwaytrainerError: it is no TOML, or there is no such place.
    """
    document: Any = _parsed(text)
    table: Any = document
    if place[0] == "task" and "task" not in document:
        _put_task(document)
    for step in place[:-1]:
        try:
            table = table[step]
        except (KeyError, IndexError, TypeError):
            raise SwaytrainerError(
                say("The level has no place {place}.", place=Name(str(place))),
                say("Read the file again."),
            ) from None
    name = str(place[-1])
    if place[0] == "cautions":
        _put_caution(table, int(place[-1]), value.strip())
    elif place[0] == "task" and not value.strip():
        table.pop(name, None)
    else:
        table[name] = _typed(name, value)
    return tomlkit.dumps(document)


def _put_task(document: Any) -> None:
    """An empty [task] table; it must stand before [[marked]], as in the shipped files."""
    marked = document.pop("marked", None)
    document["task"] = tomlkit.table()
    if marked is not None:
        document["marked"] = marked


def _put_caution(lines: Any, n: int, words: str) -> None:
    if n >= len(lines):
        if words:
            lines.append(words)
    elif words:
        lines[n] = words
    else:
        del lines[n]


def _typed(name: str, value: str) -> object:
    """What is meant; what is no number stays text, and ``read_level`` says what is wrong."""
    if name == "spotter":
        return {"true": True, "false": False}.get(value.strip(), value)
    if name in ("id", "title", "purpose", "measure") or name in _WORDS:
        return value
    for kind in (int, float):
        try:
            return kind(value.strip().replace(",", "."))
        except ValueError:
            continue
    return value


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return number(float(value))
    if isinstance(value, list):
        return "\n".join(str(line) for line in value)
    return str(value)


def _parsed(text: str) -> Any:
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, ValueError) as error:
        raise SwaytrainerError(
            say("The level is no TOML: {why}.", why=Name(str(error))),
            say("Mend that place in the file."),
        ) from None


def shipped_texts() -> dict[str, str]:
    """The shipped levels' texts by file name, in the list's order."""
    folder = resources.files("swaytrainer.training") / "levels"
    return {name: (folder / name).read_text(encoding="utf-8") for name, _ in shipped_files()}


def keep_level(folder: Path, name: str, text: str, replaces: bool = False) -> Level:
    """Check a level and keep it among the club's own; the level.

    Args:
        folder: the club's own levels; made if need be.
        name: of the file, with or without its ending.
        text: the file's.
        replaces: a file of that name is the club's own that was opened, and may be replaced.

    Raises:
        SwaytrainerError: the level is wrong, has a shipped level's id, or can't be written.
    """
    name = name.strip() if name.strip().endswith(".toml") else f"{name.strip()}.toml"
    if not re.fullmatch(r"[\w][\w.-]*\.toml", name):
        raise SwaytrainerError(
            say("“{name}” is no name for a level's file.", name=Name(name)),
            say("Use letters, digits and dashes."),
        )
    level = read_level(text, name)
    if level.id in {shipped.id for _, shipped in shipped_files()}:
        raise SwaytrainerError(
            say("The id {id} is a shipped level's, which stays as it is.", id=Name(level.id)),
            say("Give the level an id of its own."),
        )
    path = folder / name
    if path.exists() and not replaces:
        raise SwaytrainerError(
            say("There is already a level file {name}.", name=Name(name)),
            say("Give another name."),
        )
    replace_file(path, text)
    return level
