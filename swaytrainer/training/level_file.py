"""Level files: TOML that a coach can read and edit, checked down to line, field and reason."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from functools import cache
from importlib import resources
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import finite_number, parse_toml
from swaytrainer.training.feedback import FEEDBACKS
from swaytrainer.training.level import (
    BASES,
    EYES,
    STANCES,
    Level,
    MarkPart,
)
from swaytrainer.training.risk import reasons_of
from swaytrainer.training.tasks.catalogue import KINDS, markable
from swaytrainer.words import Name, Said, say

FORMAT: Final = 1
#: In place of a marked measure's number: the level's ``[task]`` table.
_TASK: Final = -2

_NUMBERS: Final[dict[str, tuple[float, float, str]]] = {
    "seconds": (5.0, 120.0, "s"),
    "trials": (1.0, 10.0, "trials"),
    "rest_s": (0.0, 600.0, "s"),
    "band_low_percent": (0.0, 100.0, "% toe share"),
    "band_high_percent": (0.0, 100.0, "% toe share"),
    "pass_mark": (0.0, 10.0, "of 10"),
}
_WORDS: Final[dict[str, tuple[str, ...]]] = {
    "game": (),  # whatever there is when the file is read
    "base": BASES,
    "stance": STANCES,
    "eyes": EYES,
    "feedback": FEEDBACKS,
}
_TEXTS: Final = ("id", "title", "purpose")
_PART_FIELDS: Final = ("measure", "nothing_at", "all_at", "weight")
_KNOWN: Final = {"format", "spotter", "cautions", "marked", "task", *_NUMBERS, *_WORDS, *_TEXTS}


def read_level(text: str, name: str) -> Level:
    """Read and check one level.

    Args:
        text: the file's text.
        name: how to call the file in an error.

    Raises:
        SwaytrainerError: naming file, line, field and reason.
    """
    table = parse_toml(text, f"Level {name}", "Mend that place in the file.")
    return _LevelReader(table, text, name).level()


def level_text(level: Level) -> str:
    """The level as the text of a file that ``read_level`` reads back to an equal one."""
    lines = [f"format = {FORMAT}"]
    lines += [f"{field} = {_quoted(getattr(level, field))}" for field in _TEXTS]
    lines += [f"{field} = {_quoted(getattr(level, field))}" for field in _WORDS]
    lines += [f"{field} = {getattr(level, field)!r}" for field in _NUMBERS]
    lines.append(f"spotter = {str(level.spotter).lower()}")
    lines.append("cautions = [" + ", ".join(_quoted(c) for c in level.cautions) + "]")
    if level.task:
        lines += ["", "[task]", *(f"{name} = {value!r}" for name, value in level.task)]
    for part in level.parts:
        lines += ["", "[[marked]]", f"measure = {_quoted(part.measure)}"]
        lines += [f"{f} = {getattr(part, f)!r}" for f in _PART_FIELDS[1:]]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    import json

    # JSON's string escapes are a subset of TOML's basic strings, but for DEL and lone surrogates.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def file_order(name: str) -> tuple[float, str]:
    """The place of a level file in the list: by the number in front, then by name.

    >>> sorted(["ours.toml", "100-b.toml", "20-a-ours.toml", "20-a.toml"], key=file_order)
    ['20-a.toml', '20-a-ours.toml', '100-b.toml', 'ours.toml']
    """
    number = re.match(r"[0-9]{1,9}", name)
    # Without the ending: what was made of a level comes behind it, not before.
    return (float(number[0]) if number else math.inf, name.removesuffix(".toml"))


@cache
def shipped_files() -> tuple[tuple[str, Level], ...]:
    """The levels that come with the program with their file names, in the list's order."""
    folder = resources.files("swaytrainer.training") / "levels"
    files = [f for f in folder.iterdir() if f.name.endswith(".toml")]
    return tuple(
        (f.name, read_level(f.read_text(encoding="utf-8"), f.name))
        for f in sorted(files, key=lambda f: file_order(f.name))
    )


def shipped_levels() -> tuple[Level, ...]:
    """The levels that come with the program, in the order of their file names."""
    return tuple(level for _, level in shipped_files())


def _one_of(words: Iterable[str]) -> Said:
    return say("must be one of {words}", words=Name(", ".join(words)))


def _beyond(value: float, low: float, high: float, unit: str) -> Said:
    range_ = {"value": value, "low": low, "high": high}
    if not unit:
        return say("is {value:g}, but must lie between {low:g} and {high:g}", **range_)
    return say(
        "is {value:g}, but must lie between {low:g} and {high:g} {unit}", **range_, unit=unit
    )


class _LevelReader:
    def __init__(self, table: dict[str, Any], text: str, name: str) -> None:
        self._table = table
        self._lines = text.splitlines()
        self._name = name

    def _bad(self, field: str, why: str, part: int | None = None) -> SwaytrainerError:
        line = self._line(field, part)
        told = {"name": Name(self._name), "field": field, "why": why}
        return SwaytrainerError(
            say("Level {name}, line {line}, field '{field}': {why}.", line=line, **told)
            if line
            else say("Level {name}, field '{field}': {why}.", **told),
            say("Change that line and save the file."),
        )

    def _line(self, field: str, part: int | None) -> int:
        """The line that sets a field, from 1; 0 if there is none (a missing field)."""
        tables, in_task = -1, False
        for number, line in enumerate(self._lines, start=1):
            if re.match(r"\s*\[\[\s*marked\s*\]\]", line):
                tables += 1
                in_task = False
            elif re.match(r"\s*\[\s*task\s*\]", line):
                in_task = True
            if part == _TASK:
                in_place = in_task
            elif part is None:
                in_place = (tables == -1 and not in_task) or field in ("marked", "task")
            else:
                in_place = tables == part
            if in_place and re.match(rf"\s*(\[{{1,2}})?\s*[\"']?{re.escape(field)}\b", line):
                return number
        return 0

    def level(self) -> Level:
        if self._table.get("format") != FORMAT:
            raise self._bad(
                "format",
                say("must be {n}; a newer file needs a newer program, so update", n=FORMAT),
            )
        for field in self._table:
            if field not in _KNOWN:
                raise self._bad(field, say("is not a field of a level (a misspelling?)"))
        texts = {field: self._text(field) for field in _TEXTS}
        if not re.fullmatch(r"[a-z0-9][a-z0-9-]{0,39}", texts["id"]):
            raise self._bad("id", say("may hold only small letters, digits and dashes, at most 40"))
        words = {
            field: self._word(field, allowed or tuple(KINDS)) for field, allowed in _WORDS.items()
        }
        allowed = KINDS[words["game"]].feedbacks
        if allowed is not None and words["feedback"] not in allowed:
            there = " or ".join(f'"{word}"' for word in allowed)
            raise self._bad(
                "feedback",
                say("must be {words} in the game {game}", words=Name(there), game=words["game"]),
            )
        n = {field: self._number(field, *limits) for field, limits in _NUMBERS.items()}
        if n["trials"] != int(n["trials"]):
            raise self._bad("trials", say("must be a whole number"))
        if n["band_low_percent"] >= n["band_high_percent"]:
            raise self._bad("band_high_percent", say("must be above band_low_percent"))
        spotter = self._table.get("spotter")
        if not isinstance(spotter, bool):
            raise self._bad("spotter", say("must be true or false"))
        lands = KINDS[words["game"]].leaves_board
        if not spotter and reasons_of(words["base"], words["eyes"], lands):
            raise self._bad(
                "spotter",
                say(
                    "must be true with closed eyes, on anything but firm ground or foam, and for a"
                    " landing"
                ),
            )
        return Level(
            **texts,
            **words,
            seconds=n["seconds"],
            trials=int(n["trials"]),
            rest_s=n["rest_s"],
            band_low_percent=n["band_low_percent"],
            band_high_percent=n["band_high_percent"],
            parts=self._parts(words["game"]),
            task=self._task(words["game"]),
            pass_mark=n["pass_mark"],
            spotter=spotter,
            cautions=self._cautions(),
        )

    def _text(self, field: str) -> str:
        value = self._table.get(field)
        if not isinstance(value, str) or not value.strip():
            raise self._bad(field, say("is missing or empty; it must be a text in quotes"))
        return value

    def _word(self, field: str, allowed: tuple[str, ...]) -> str:
        value = self._table.get(field)
        if not isinstance(value, str) or value not in allowed:
            raise self._bad(field, _one_of(f'"{w}"' for w in allowed))
        return value

    def _number(self, field: str, low: float, high: float, unit: str) -> float:
        value = finite_number(self._table.get(field))
        if value is None:
            raise self._bad(field, say("is missing or not a number"))
        if not low <= value <= high:
            raise self._bad(field, _beyond(value, low, high, unit))
        return value

    def _cautions(self) -> tuple[str, ...]:
        value = self._table.get("cautions")
        if not isinstance(value, list) or not value or not all(isinstance(c, str) for c in value):
            raise self._bad("cautions", say("must be a list of at least one text"))
        return tuple(value)

    def _task(self, game: str) -> tuple[tuple[str, float], ...]:
        table = self._table.get("task", {})
        fields = KINDS[game].fields
        if not isinstance(table, dict):
            raise self._bad("task", say("must be a table: [task]"))
        numbers = []
        for name, value in table.items():
            if name not in fields:
                there = ", ".join(fields) or "none"
                raise self._bad(
                    name,
                    say(
                        "is no number of the game {game} (there are: {there})",
                        game=game,
                        there=Name(there),
                    ),
                    _TASK,
                )
            low, high, _, unit, _ = fields[name]
            number = finite_number(value)
            if number is None:
                raise self._bad(name, say("is not a number"), _TASK)
            if not low <= number <= high:
                raise self._bad(
                    name,
                    _beyond(number, low, high, unit),
                    _TASK,
                )
            numbers.append((name, number))
        return tuple(numbers)

    def _parts(self, game: str) -> tuple[MarkPart, ...]:
        allowed = markable(game)
        tables = self._table.get("marked")
        if not isinstance(tables, list) or not 1 <= len(tables) <= 2:
            raise self._bad("marked", say("a level marks one measure, or two at most"))
        parts = []
        for i, table in enumerate(tables):
            if not isinstance(table, dict):
                raise self._bad("marked", say("each marked measure is a table under [[marked]]"))
            for field in table:
                if field not in _PART_FIELDS:
                    raise self._bad(field, say("is not a field of a marked measure"), i)
            measure = table.get("measure")
            if not isinstance(measure, str) or measure not in allowed:
                raise self._bad("measure", _one_of(allowed), i)
            numbers = {}
            for field in _PART_FIELDS[1:]:
                number = finite_number(table.get(field))
                if number is None or number < 0:
                    raise self._bad(field, say("is missing or not a number from 0 up"), i)
                numbers[field] = number
            more_is_better = allowed[measure].more_is_better
            if (numbers["all_at"] > numbers["nothing_at"]) != more_is_better or (
                numbers["all_at"] == numbers["nothing_at"]
            ):
                why = say(
                    "must be above nothing_at for {measure}"
                    if more_is_better
                    else "must be below nothing_at for {measure}",
                    measure=Name(measure),
                )
                raise self._bad("all_at", why, i)
            parts.append(MarkPart(measure, **numbers))
        if len({p.measure for p in parts}) < len(parts):
            raise self._bad("measure", say("marks the same measure twice"), len(parts) - 1)
        if not math.isclose(sum(p.weight for p in parts), 1.0, abs_tol=1e-9):
            raise self._bad("weight", say("the weights must add up to 1"), len(parts) - 1)
        return tuple(parts)
