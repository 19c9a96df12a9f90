"""What is written into a contest's file: a beginning, a ruling, a stand-off, a form's changes.

A ruling is put behind what is there, letter for letter, so that the coach's comments stay; to take
it back, it is deleted with any editor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Final, TypeVar

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Ruling
from swaytrainer.squad.contest_draft import By, ClassDraft, ContestDraft, Kept, TeamDraft, draft_of
from swaytrainer.store.contest_book import contest_text, parsed_contest
from swaytrainer.store.home import Home, replace_file
from swaytrainer.toml_text import parse_toml
from swaytrainer.words import Name, say, translated


def begin_contest(path: Path, home: Home, level: str, now: datetime) -> Path:
    """Write a contest of all vaulters, today, to be changed; where it is.

    Args:
        path: of the new file.
        home: the data folder.
        level: id of the level that all do.
        now: the wall clock.

    Raises:
        SwaytrainerError: there is one, nobody to enter, or it can't be written.
    """
    import tomlkit

    names = [v.name for v in home.vaulters()]
    if not names:
        raise SwaytrainerError(
            say("There is nobody to enter."),
            say("Add vaulters first, at the desk, or with: swaytrainer vaulter NAME"),
        )
    day, zone = now.date().isoformat(), now.isoformat()[-6:]
    begin = f"{now:%Y-%m-%dT%H:%M}:00"
    entered = ", ".join(tomlkit.item(name).as_string() for name in names)
    text = f"""# A contest. Change it with any editor; what is recorded in its time are its marks.
title = {tomlkit.item(translated("Contest of {day}", day=day)).as_string()}
level = {tomlkit.item(level).as_string()}
since = {begin}{zone}   # what was done before is none of it
until = {day}T23:59:59{zone}
seed = {day.replace("-", "")}   # of the draw: a number that anybody may know, and nobody may choose
trials = 3        # of each, the mean counts
warm_up = 1       # of each before them, never counted
team_counts = 2   # so many best members of a team

[[class]]
name = {tomlkit.item(translated("All")).as_string()}
vaulters = [{entered}]

# Instead, by height (from 1200 up to, and without, 1400 mm) or by year of birth:
# [[class]]
# name = "Under 140 cm"
# height_mm = [1200, 1400]
# [[class]]
# name = "Born 2012 to 2014"
# born = [2012, 2014]

# [[team]]
# name = "Otters"
# vaulters = [{entered}]
"""
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise SwaytrainerError(
            say("There is such a file already: {path}.", path=Name(path)),
            say("Give the new contest another name, or change that file."),
        ) from None
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Look at the folder's rights and space."),
        ) from None
    return path


def add_ruling(path: Path, home: Home, ruling: Ruling) -> None:
    """Put a ruling behind those that there are.

    Raises:
        SwaytrainerError: it can't be, or the file can't be used or written.
    """
    entry: dict[str, object] = {
        "vaulter": ruling.vaulter,
        "kind": ruling.kind,
        "reason": ruling.reason,
    }
    if ruling.kind == "repeat":
        entry |= {"recording": ruling.recording, "trial": ruling.trial}
    _append(path, home, "ruling", entry)


def add_stand_off(path: Path, home: Home, vaulters: Sequence[str], since: datetime) -> None:
    """Add one more trial of each of these.

    Raises:
        SwaytrainerError: it can't be, or the file can't be used or written.
    """
    _append(path, home, "stand_off", {"vaulters": list(vaulters), "since": since})


def _append(path: Path, home: Home, key: str, entry: dict[str, object]) -> None:
    import tomlkit

    table = tomlkit.table()
    for field, value in entry.items():
        table.add(field, value)
    addition = tomlkit.document()
    addition.add(key, tomlkit.aot())
    addition[key].append(table)
    text = contest_text(path)
    new = text + ("\n" if text.endswith("\n") else "\n\n") + addition.as_string()
    # What can't be read back must not be written.
    parsed_contest(new, path.name, home)
    replace_file(path, new)


# By a form ----------------------------------------------------------------------------------------

#: What a contest's file says once, besides its tables.
_ONCE: Final = ("title", "level", "since", "until", "trials", "warm_up", "team_counts")


def edited_contest(text: str, where: str, draft: ContestDraft, home: Home) -> str:
    """The text with what a form has made of it; whatever else stands in it stays, comments too.

    Args:
        text: of the file as it is, which can be read.
        where: how to call the file in an error.
        draft: what it shall say.
        home: the data folder, for the check.

    Raises:
        SwaytrainerError: the new one is no contest, or the text can't be changed without a risk.
    """
    before = draft_of(text, where)
    if before == draft:
        return text
    from tomlkit.exceptions import TOMLKitError

    try:
        new = _written(text, before, draft)
        right = _numbered(draft_of(new, where)) == _numbered(draft)
        right = right and _besides(new, _numbered(draft)) == _besides(text, draft)
    except (TOMLKitError, IndexError, KeyError, ValueError, SwaytrainerError):
        right = False
    if not right:
        raise SwaytrainerError(
            say("{file} can't be changed here without a risk.", file=Name(where)),
            say("Change it as text."),
        )
    parsed_contest(new, where, home)
    return new


def _written(text: str, before: ContestDraft, draft: ContestDraft) -> str:
    from swaytrainer.store.toml_tables import tables_of, with_beginning, with_tables

    once: dict[str, object] = {
        field: getattr(draft, field)
        for field in _ONCE
        if getattr(draft, field) != getattr(before, field)
    }
    if draft.entries != before.entries:
        once["entries"] = None if draft.entries is None else list(draft.entries)
    new = with_beginning(text, once) if once else text
    if draft.classes != before.classes:
        new = with_tables(new, "class", _tables(text, "class", before.classes, draft.classes))
    if draft.teams != before.teams:
        new = with_tables(new, "team", _tables(text, "team", before.teams, draft.teams))
    for key, stay, were in (
        ("ruling", draft.rulings, before.rulings),
        ("stand_off", draft.stand_offs, before.stand_offs),
    ):
        if stay != were:
            entries = tables_of(text, key)
            new = with_tables(new, key, [(n, entries[n]) for n in stay])
    return new


_Part = TypeVar("_Part", ClassDraft, TeamDraft)


def _tables(
    text: str, key: str, before: Kept[_Part], after: Kept[_Part]
) -> list[tuple[int | None, str]]:
    """The tables of one kind as they shall stand; of each only what has changed is written."""
    from swaytrainer.store.toml_tables import tables_of, with_values

    entries = tables_of(text, key)
    made = []
    for n, each in after:
        was = None if n is None else before[n][1]
        values = _values(each)
        # One that goes by something else now is written whole: nothing of the old way stays.
        if was is not None and getattr(was, "by", None) == getattr(each, "by", None):
            values = {f: v for f, v in values.items() if _values(was)[f] != v}
        own = "" if n is None else entries[n]
        made.append((n, with_values(own, key, values) if values else own))
    return made


def _values(each: ClassDraft | TeamDraft) -> dict[str, object]:
    """What is written of a class or a team; None for what isn't."""
    if isinstance(each, TeamDraft):
        return {"name": each.name, "vaulters": list(each.names)}
    bounds = [int(x) if x == int(x) else x for x in (each.low, each.high)]
    return {
        "name": each.name,
        "vaulters": list(each.names) if each.by is By.NAME else None,
        **{by.value: bounds if each.by is by else None for by in (By.HEIGHT, By.BORN)},
    }


def _besides(text: str, draft: ContestDraft) -> dict[str, object]:
    """What no form changes: all else that the file says, and the rulings and stand-offs left."""
    table = parse_toml(text, "", "")
    for field in (*_ONCE, "entries", "class", "team"):
        table.pop(field, None)
    for key, stay in (("ruling", draft.rulings), ("stand_off", draft.stand_offs)):
        table[key] = [table.get(key, [])[n] for n in stay]
    return table


def _numbered(draft: ContestDraft) -> ContestDraft:
    """The draft with the places that it has when it is read anew."""
    return replace(
        draft,
        classes=tuple((n, each) for n, (_, each) in enumerate(draft.classes)),
        teams=tuple((n, each) for n, (_, each) in enumerate(draft.teams)),
        rulings=tuple(range(len(draft.rulings))),
        stand_offs=tuple(range(len(draft.stand_offs))),
    )
