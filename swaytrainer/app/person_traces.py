"""Everything in a data folder that is of one person: to be handed out whole, or erased whole."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home, replace_file, slug
from swaytrainer.store.recording import SUFFIX, glance
from swaytrainer.toml_text import parse_toml
from swaytrainer.training.vaulter import plain_name
from swaytrainer.words import Name, say

#: Whether a name is the person's.
Theirs = Callable[[str], bool]

#: File → its list of tables → the field that holds the name.
_TABLES: Final = {
    "vaulters.toml": ("vaulter", "name"),
    "feet.toml": ("feet", "vaulter"),
    "coach.toml": ("word", "vaulter"),
}
_PLAN: Final = "squad.toml"


@dataclass(frozen=True, slots=True)
class Traces:
    """What there is of a person.

    Attributes:
        entries: file → entries, as the file writes them.
        recordings: paths.
        unsure: recordings that can't be read, but bear the person's name in the file's.
    """

    entries: dict[str, list[dict[str, Any]]]
    recordings: tuple[Path, ...]
    unsure: tuple[Path, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.recordings or any(self.entries.values()))


def same_name(name: str) -> Theirs:
    """Whether another writing is the same name."""
    wanted = plain_name(name)
    return lambda other: plain_name(other) == wanted


def traces(home: Home, theirs: Theirs, name: str | None = None) -> Traces:
    """All that is of a person.

    Args:
        home: the data folder.
        theirs: whether a name is the person's.
        name: to find recordings that can't be read any more by their file names, if given.

    Raises:
        SwaytrainerError: a file can't be read: what it holds must not be passed over.
    """
    entries: dict[str, list[dict[str, Any]]] = {}
    for file, (key, field) in _TABLES.items():
        entries[file] = [e for e in _tables(home.path / file, key) if theirs(str(e.get(field)))]
    entries[_PLAN] = [
        {**group, "vaulters": [v for v in _named(group) if theirs(v)]}
        for group in _tables(home.path / _PLAN, "group")
        if any(theirs(v) for v in _named(group))
    ]
    for path in _evenings(home):
        mine = [line for line in _lines(path) if _is_theirs(line, theirs)]
        if mine:
            entries[f"evenings/{path.name}"] = [json.loads(line) for line in mine]
    for path in _contests(home):
        told = _of_contest(_text(path), theirs)
        if told:
            entries[path.name] = told
    recordings, unsure = [], []
    for path in home.recordings():
        try:
            owner = glance(path).setup.vaulter.name
        except SwaytrainerError:
            if name is not None and _may_be_theirs(path, name):
                unsure.append(path)
        else:
            if theirs(owner):
                recordings.append(path)
    return Traces(entries, tuple(recordings), tuple(unsure))


def wipe(home: Home, theirs: Theirs) -> None:
    """Erase all that is of a person. Done twice, it does nothing more: a kill can be gone on from.

    Raises:
        SwaytrainerError: something could not be read or changed; what was erased stays erased.
    """
    for path in traces(home, theirs).recordings:
        _remove(path)
    for file, (key, field) in _TABLES.items():
        _thin(home.path / file, key, partial(_holds, field, theirs))
    _wipe_plan(home.path / _PLAN, theirs)
    for path in _contests(home):
        before = _text(path)
        after = _contest_without(before, theirs)
        if after != before:
            replace_file(path, after)
    for path in _evenings(home):
        lines = _lines(path)
        kept = [line for line in lines if not _is_theirs(line, theirs)]
        if kept != lines:
            replace_file(path, b"\n".join(kept).decode("utf-8", "replace"))


def mentions(home: Home, name: str) -> list[Path]:
    """Files of text that still hold the name: a comment, somebody else's note."""
    wanted = plain_name(name)
    found = []
    for path in sorted(home.path.rglob("*")):
        if path.is_file() and path.suffix in (".toml", ".jsonl", ".json", ".csv", ".txt", ".new"):
            try:
                text = path.read_text(encoding="utf-8", errors="replace")
            except OSError:
                continue
            if wanted in plain_name(text):
                found.append(path)
    return found


# Contests -----------------------------------------------------------------------------------------


def _contests(home: Home) -> list[Path]:
    """The competitions' files that lie in the data folder; those elsewhere are the club's."""
    found = []
    for path in sorted(home.path.glob("*.toml")):
        try:
            table = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            continue  # what it is can't be told; ``mentions`` names it
        if {"level", "since", "until", "class"} <= set(table):
            found.append(path)
    return found


def _of_contest(text: str, theirs: Theirs) -> list[dict[str, Any]]:
    """What a competition's file says of a person, and in which of its tables."""
    table = tomllib.loads(text)
    found: list[dict[str, Any]] = []
    for key in ("class", "team", "ruling", "stand_off"):
        for entry in table.get(key, []):
            if isinstance(entry, dict) and theirs(str(entry.get("vaulter"))):
                found.append({"table": key, **entry})
            elif isinstance(entry, dict) and any(map(theirs, _named(entry))):
                # Who else was in it is not this person's.
                mine = [name for name in _named(entry) if theirs(name)]
                found.append({"table": key, **entry, "vaulters": mine})
    return found


def _contest_without(text: str, theirs: Theirs) -> str:
    """The file without a person: out of every list, and without what was ruled about her."""
    from swaytrainer.store.toml_tables import tables_of, with_beginning, with_tables, with_values

    table = tomllib.loads(text)
    for key, least in (("class", 1), ("team", 1), ("stand_off", 2), ("ruling", 0)):
        entries = table.get(key, [])
        own = tables_of(text, key)
        if not isinstance(entries, list) or len(own) != len(entries):
            continue  # written another way: ``mentions`` names the file
        kept: list[tuple[int | None, str]] = []
        for n, entry in enumerate(entries):
            if theirs(str(entry.get("vaulter"))):
                continue
            names = _named(entry)
            left = [name for name in names if not theirs(name)]
            if left == names:
                kept.append((n, own[n]))
            elif len(left) >= least:
                kept.append((n, with_values(own[n], key, {"vaulters": left})))
        if len(kept) < len(entries) or any(words != own[n] for n, words in kept if n is not None):
            text = with_tables(text, key, kept)
    entered = [name for entry in table.get("class", []) for name in _named(entry)]
    entries = table.get("entries")
    if isinstance(entries, list):
        entered += [str(name) for name in entries]
        if any(theirs(str(name)) for name in entries):
            left = [name for name in entries if not theirs(str(name))]
            text = with_beginning(text, {"entries": left})
    if any(map(theirs, entered)):
        # Without the name the file must still say that the places are those of the others.
        before = table.get("erased", 0)
        text = with_beginning(text, {"erased": 1 + (before if isinstance(before, int) else 0)})
    return text


def _may_be_theirs(path: Path, name: str) -> bool:
    """Whether a recording that can't be read names a person, in its file's name or inside."""
    if f"-{slug(name)}".casefold() in path.stem.casefold():
        return True
    try:
        data = path.read_bytes()
    except OSError:
        return True  # nobody can tell
    written = {name, json.dumps(name)[1:-1], json.dumps(name, ensure_ascii=False)[1:-1]}
    lower = data.lower()
    return any(each.encode().lower() in lower for each in written)


# The parts ----------------------------------------------------------------------------------------


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError):
        raise SwaytrainerError(
            say("Can't read {path}.", path=Name(path)), say("Mend the file first.")
        ) from None


def _tables(path: Path, key: str) -> list[dict[str, Any]]:
    entries = parse_toml(_text(path), str(path), "Mend that place in the file first.").get(key, [])
    if not isinstance(entries, list) or not all(isinstance(e, dict) for e in entries):
        raise SwaytrainerError(
            say("{path}: {key!r} must be a list.", path=Name(path), key=Name(key)),
            say("Mend the file first."),
        )
    return entries


def _named(group: dict[str, Any]) -> list[str]:
    held = group.get("vaulters", [])
    return [v for v in held if isinstance(v, str)] if isinstance(held, list) else []


def _evenings(home: Home) -> list[Path]:
    return sorted((home.path / "evenings").glob("*.jsonl"))


def _lines(path: Path) -> list[bytes]:
    try:
        return path.read_bytes().split(b"\n")
    except OSError as error:
        raise SwaytrainerError(
            say("Can't read {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Mend the file first."),
        ) from None


def _is_theirs(line: bytes, theirs: Theirs) -> bool:
    try:
        return theirs(str(json.loads(line)["name"]))
    except (ValueError, KeyError, TypeError, RecursionError):
        return False


def _remove(path: Path) -> None:
    try:
        path.unlink()
        if not any(path.parent.glob(f"*{SUFFIX}")) and not any(path.parent.iterdir()):
            path.parent.rmdir()
    except OSError as error:
        raise SwaytrainerError(
            say("Can't erase {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Look at its rights, then try again."),
        ) from None


def _holds(field: str, theirs: Theirs, entry: dict[str, Any]) -> bool:
    return theirs(str(entry.get(field)))


def _thin(path: Path, key: str, out: Callable[[dict[str, Any]], bool]) -> None:
    """Take entries out of a file's list; all else in it stays, comments too."""
    before = _tables(path, key)
    if not any(out(entry) for entry in before):
        return
    import tomlkit

    document = tomlkit.parse(_text(path))
    for n in reversed(range(len(before))):
        if out(before[n]):
            del document[key][n]
    _checked(path, tomlkit.dumps(document), key, [e for e in before if not out(e)])


def _wipe_plan(path: Path, theirs: Theirs) -> None:
    before = _tables(path, "group")
    if not any(theirs(v) for group in before for v in _named(group)):
        return
    import tomlkit

    document = tomlkit.parse(_text(path))
    expected = []
    for n in reversed(range(len(before))):
        names = _named(before[n])
        left = [v for v in names if not theirs(v)]
        if left == names:
            expected.append(before[n])
        elif not left:
            del document["group"][n]
        else:
            document["group"][n]["vaulters"] = left
            expected.append({**before[n], "vaulters": left})
    _checked(path, tomlkit.dumps(document), "group", expected[::-1])


def _checked(path: Path, text: str, key: str, expected: list[dict[str, Any]]) -> None:
    try:
        right = tomllib.loads(text).get(key, []) == expected
    except ValueError:
        right = False
    if not right:
        raise SwaytrainerError(
            say("{path} can't be changed safely.", path=Name(path)),
            say("Take the person out of it by hand, and try again."),
        )
    replace_file(path, text)
