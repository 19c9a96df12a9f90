"""A contest's file as a form has it: what it says, not yet who that is. Pure."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Any, TypeVar

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import finite_number, parse_toml
from swaytrainer.words import Name, say, tr


class By(StrEnum):
    """What a class goes by."""

    NAME = "name"
    HEIGHT = "height_mm"
    BORN = "born"


@dataclass(frozen=True, slots=True)
class ClassDraft:
    """One class as it is written.

    Attributes:
        name: what the club calls it.
        by: what it goes by.
        names: of a class by name, in the file's order.
        low, high: of a class by height, mm, the upper one left out; or by year, both within.
    """

    name: str
    by: By = By.NAME
    names: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0


@dataclass(frozen=True, slots=True)
class TeamDraft:
    """One team as it is written."""

    name: str
    names: tuple[str, ...]


_Part = TypeVar("_Part", ClassDraft, TeamDraft)
#: Each with its place in the file as it was read, from 0; None for a new one.
Kept = tuple[tuple[int | None, _Part], ...]


@dataclass(frozen=True, slots=True)
class ContestDraft:
    """What a form changes.

    Attributes:
        title: of the competition.
        level: id of the level that all do.
        since, until: recordings that began in between belong to it.
        trials, warm_up, team_counts: as in ``Contest``.
        entries: who takes part, where classes go by height or year; None for all who are listed.
        classes, teams: in the order in which they shall stand.
        rulings, stand_offs: places of those that stay.
    """

    title: str
    level: str
    since: datetime
    until: datetime
    trials: int
    warm_up: int
    team_counts: int
    entries: tuple[str, ...] | None
    classes: Kept[ClassDraft]
    teams: Kept[TeamDraft]
    rulings: tuple[int, ...]
    stand_offs: tuple[int, ...]


def put_in(kept: Kept[_Part], at: int | None, new: _Part) -> Kept[_Part]:
    """The classes, or the teams, with another one at a place, or behind all (None).

    Whoever is in it leaves the others: nobody is in two. One that is left without anybody goes.

    >>> put_in(((0, TeamDraft("A", ("Wren", "Tarn"))),), None, TeamDraft("B", ("Wren",)))[0]
    (0, TeamDraft(name='A', names=('Tarn',)))
    """
    made: list[tuple[int | None, _Part]] = []
    for k, (n, each) in enumerate(kept):
        if k == at:
            made.append((n, new))
            continue
        left = tuple(name for name in each.names if name not in new.names)
        # A class by height or year has no names, and stays.
        if left or not each.names:
            made.append((n, replace(each, names=left)))
    if at is None:
        made.append((None, new))
    return tuple(made)


def draft_of(text: str, where: str) -> ContestDraft:
    """What a contest's file says; the file must be one that ``read_contest`` takes.

    Raises:
        SwaytrainerError: it is no TOML.
    """
    table = parse_toml(text, where, say("Change it as text."))
    entries = table.get("entries")
    return ContestDraft(
        table["title"].strip(),
        table["level"],
        table["since"],
        table["until"],
        table.get("trials", 3),
        table.get("warm_up", 0),
        table.get("team_counts", 2),
        None if entries is None else tuple(entries),
        tuple((n, _class(entry)) for n, entry in enumerate(table.get("class", []))),
        tuple(
            (n, TeamDraft(entry["name"], tuple(entry["vaulters"])))
            for n, entry in enumerate(table.get("team", []))
        ),
        tuple(range(len(table.get("ruling", [])))),
        tuple(range(len(table.get("stand_off", [])))),
    )


def check_draft(draft: ContestDraft) -> None:
    """What a form can make wrong by itself, in the words that stand in it.

    Raises:
        SwaytrainerError: what is wrong first.
    """
    if not draft.title.strip() or not draft.title.isprintable():
        raise SwaytrainerError(say("The competition needs a title."), say("Type one."))
    if not draft.since < draft.until:
        raise SwaytrainerError(say("“To” must be later than “From”."), say("Change one of them."))
    if not draft.classes:
        raise SwaytrainerError(say("There is no class yet."), say("Add one."))
    for each in (draft.classes, draft.teams):
        names = [part.name for _, part in each]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise SwaytrainerError(
                say("Two are called {name}.", name=Name(twice)), say("Give one another name.")
            )
    if draft.entries is not None and all(each.by is By.NAME for _, each in draft.classes):
        raise SwaytrainerError(
            say("Every class goes by name: nobody else has to be named as taking part."),
            say("Take that tick out."),
        )


def judged_in(text: str, where: str, listed: Collection[str]) -> tuple[list[str], list[str]]:
    """The file's rulings and stand-offs, a sentence each.

    Args:
        text: of the file.
        where: how to call it in an error.
        listed: all vaulters there are; anybody else is erased, and is not named.

    Raises:
        SwaytrainerError: it is no TOML.
    """
    table = parse_toml(text, where, say("Change it as text."))
    rulings: list[str] = []
    for entry in table.get("ruling", []):
        name, why = _known(entry["vaulter"], listed), Name(entry["reason"])
        if entry["kind"] == "withdrawn":
            rulings.append(say("{name} withdrew: {why}.", name=name, why=why))
        else:
            rulings.append(
                say(
                    "{name} repeated a trial ({recording}, {n}): {why}.",
                    name=name,
                    recording=Name(entry["recording"]),
                    n=entry["trial"],
                    why=why,
                )
            )
    stand_offs: list[str] = []
    for entry in table.get("stand_off", []):
        names = Name(" – ".join(tr(_known(name, listed)) for name in entry["vaulters"]))
        since = entry.get("since")
        if since is None:
            stand_offs.append(names)
        else:
            at = Name(f"{since.astimezone():%Y-%m-%d %H:%M}")
            stand_offs.append(say("{names}, from {at} on", names=names, at=at))
    return rulings, stand_offs


def _known(name: str, listed: Collection[str]) -> str:
    return Name(name) if name in listed else say("somebody erased")


def _class(entry: dict[str, Any]) -> ClassDraft:
    for by in (By.HEIGHT, By.BORN):
        if by.value in entry:
            low, high = (finite_number(each) or 0.0 for each in entry[by.value])
            return ClassDraft(entry["name"], by, (), low, high)
    return ClassDraft(entry["name"], By.NAME, tuple(entry["vaulters"]))
