"""A text that people write, changed table by table: each keeps its comments, the gaps stay.

A comment right above a ``[[key]]`` goes with that table, as does one right below its last line;
what stands between two empty lines belongs to none, and stays where it is.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import tomlkit
from tomlkit.items import Array

#: A table's place in the text, from 0, or None for a new one; and its own text.
Placed = tuple[int | None, str]


@dataclass(frozen=True, slots=True)
class _Part:
    """A stretch of the text.

    Attributes:
        key: of a ``[[key]]``; empty for the beginning and for tables of another kind.
        above: comments right above the table.
        own: its header and lines.
        after: up to the next part.
        fresh: it stood nowhere, or beside something else.
    """

    key: str
    above: str
    own: str
    after: str
    fresh: bool = False


def tables_of(text: str, key: str) -> list[str]:
    """Each ``[[key]]`` table's own text, in the text's order."""
    return [part.own for part in _parts(text) if part.key == key]


def with_values(own: str, key: str, values: Mapping[str, object]) -> str:
    """A table's text with these values; None takes one out, what is not named stays.

    Args:
        own: of a table, or of a text's beginning (``key`` empty); empty for a new table.
        key: of the table.
        values: as they are to be read again.
    """
    text = own or f"[[{key}]]\n"
    document = tomlkit.parse(text if text.endswith("\n") else text + "\n")
    table = document[key][0] if key else document
    for field, value in values.items():
        there = table.get(field)
        if value is None:
            table.pop(field, None)
        elif isinstance(value, list) and isinstance(there, Array):
            _put_list(there, value)
            if there.unwrap() != value:
                table[field] = value
        elif there is None or there != value:
            table[field] = value
    return tomlkit.dumps(document)


def with_beginning(text: str, values: Mapping[str, object]) -> str:
    """The text with these values above its first table; None takes one out."""
    head, *others = _parts(text)
    return _joined([replace(head, own=with_values(head.own, "", values)), *others])


def with_tables(text: str, key: str, tables: Sequence[Placed]) -> str:
    """The text with these ``[[key]]`` tables, in this order, and none besides.

    Those that stay share the places that they had; a new one follows the one before it.
    """
    parts = _parts(text)
    places = [n for n, part in enumerate(parts) if part.key == key]
    stay = sorted(places[at] for at, _ in tables if at is not None)
    free = iter(stay)
    # Where the first one stands that is left, else where the first one stood, else at the end.
    place = (stay or places or [len(parts)])[0]
    put: dict[int, list[_Part]] = {n: [] for n in [*places, len(parts)]}
    for at, own in tables:
        if at is None:
            put[place].append(_Part(key, "", own, "", fresh=True))
        else:
            place = next(free)
            put[place].append(replace(parts[places[at]], own=own, after=""))
    out: list[_Part] = []
    for n, part in enumerate(parts):
        if n not in put:
            out.append(part)
        elif put[n]:
            *before, last = put[n]
            out += [*before, replace(last, after=part.after)]
        elif part.after.strip():
            out.append(_Part("", "", part.after.lstrip("\n"), "", fresh=True))
    if not put.get(len(parts) - 1, True):
        # Nothing follows any more: no gap either.
        out[-1] = replace(out[-1], after=out[-1].after.rstrip("\n"))
    return _joined([*out, *put[len(parts)]])


def _parts(text: str) -> list[_Part]:
    """The text's beginning, and each table; put together again they are the text."""
    cut: list[list[str]] = [[]]
    # Not at every kind of line end that Python knows: TOML has this one.
    for line in re.split(r"(?<=\n)", text):
        # Inside of a list or a text over several lines what is above ends in the midst of it.
        if line.lstrip().startswith("[") and _whole("".join(cut[-1])):
            cut.append([])
        cut[-1].append(line)
    found: list[_Part] = []
    above = ""
    for n, lines in enumerate(cut):
        own, after, next_above = _split(lines, last=n == len(cut) - 1)
        header = re.match(r"\s*\[\[\s*([A-Za-z0-9_-]+)\s*\]\]", own) if n else None
        found.append(_Part(header[1] if header else "", above, own, after))
        above = next_above
    return found


def _split(lines: Sequence[str], last: bool) -> tuple[str, str, str]:
    """A table's own lines, the gap behind them, and the comments right above the next table."""
    end = len(lines)
    while end and not _says(lines[end - 1]):
        end -= 1
    below = len(lines)
    while not last and below > end and lines[below - 1].strip():
        below -= 1
    while end < below and lines[end].strip():
        end += 1
    return "".join(lines[:end]), "".join(lines[end:below]), "".join(lines[below:])


def _says(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _whole(text: str) -> bool:
    try:
        tomllib.loads(text)
    except ValueError:
        return False
    return True


def _joined(parts: Sequence[_Part]) -> str:
    """The parts in a row, each on lines of its own; an empty line on both sides of a fresh one."""
    text, fresh = "", False
    for part in parts:
        if text and not text.endswith("\n"):
            text += "\n"
        if text and (fresh or part.fresh) and not text.endswith("\n\n"):
            text += "\n"
        text += part.above + part.own + part.after
        fresh = part.fresh
    return text


def _put_list(array: Array, wanted: Sequence[object]) -> None:
    """Change a list in its place, so that the comments in it stay."""
    for n in reversed(range(len(array))):
        if array[n] not in wanted:
            del array[n]
    for value in wanted:
        if value not in array:
            array.append(value)
