"""A contest as text, and what is wrong in it.

::

    title = "Autumn cup"
    level = "millpond-open-water"
    since = 2026-11-28T09:00:00+01:00
    until = 2026-11-28T18:00:00+01:00
    seed = 4711          # of the draw
    trials = 3
    team_counts = 2

    [[class]]
    name = "Up to 140 cm"
    vaulters = ["Wren", "Tarn"]

    [[team]]
    name = "Otters"
    vaulters = ["Wren", "Mika", "Tarn"]

    [[ruling]]
    vaulter = "Wren"
    kind = "repeat"      # or "withdrawn"
    recording = "173000-millpond-open-water-wren.sway"
    trial = 1            # its number in the recording
    reason = "somebody stepped onto the cable"
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Contest, Ruling
from swaytrainer.toml_text import parse_toml

_REMEDY: Final = "Mend it in the file and ask again: the recordings are untouched."
_FIELDS: Final = {"title", "level", "since", "until", "seed", "trials", "team_counts", "class",
                  "team", "ruling"}  # fmt: skip
TRIALS: Final = (1, 9)


def read_contest(
    text: str, where: str, vaulters: Collection[str], levels: Collection[str]
) -> Contest:
    """The contest that a text tells.

    Args:
        text: of the file.
        where: how to call the file in an error.
        vaulters: the names that there are.
        levels: the ids that there are.

    Raises:
        SwaytrainerError: what is wrong, where, and what to do.
    """
    table = parse_toml(text, where, _REMEDY)

    def bad(why: str) -> SwaytrainerError:
        return SwaytrainerError(f"{where}: {why}.", _REMEDY)

    for field in table:
        if field not in _FIELDS:
            raise bad(f"{field!r} is not a field of a contest (a misspelling?)")
    title, level = table.get("title"), table.get("level")
    if not isinstance(title, str) or not title.strip() or not title.isprintable():
        raise bad("'title' must be a text in quotes, in one line")
    if not isinstance(level, str) or level not in levels:
        raise bad(f"'level' is {level!r}, and there is no such level")
    since, until = (_time(table.get(field), field, bad) for field in ("since", "until"))
    if not since < until:
        raise bad("'until' must be later than 'since'")
    classes = _groups(table.get("class", []), "class", vaulters, bad)
    if not classes:
        raise bad("there is no [[class]] with vaulters")
    entered = [name for names in classes.values() for name in names]
    if len(set(entered)) < len(entered):
        twice = next(name for name in entered if entered.count(name) > 1)
        raise bad(f"{twice!r} is entered twice")
    teams = _groups(table.get("team", []), "team", entered, bad)
    team_counts = _whole(table.get("team_counts", 2), "team_counts", (1, 99), bad)
    members = [member for team in teams.values() for member in team]
    if len(set(members)) < len(members):
        raise bad("a vaulter is in two teams")
    for name, team in teams.items():
        if len(team) < team_counts:
            raise bad(f"team {name!r} has fewer members than the {team_counts} that count")
    return Contest(
        title.strip(),
        level,
        _whole(table.get("trials", 3), "trials", TRIALS, bad),
        since,
        until,
        _whole(table.get("seed", 0), "seed", (0, 10**9), bad),
        classes,
        teams,
        team_counts,
        _rulings(table.get("ruling", []), entered, bad),
    )


def _time(value: object, field: str, bad: Any) -> datetime:
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise bad(f"{field!r} must be a time with its zone, as 2026-11-28T09:00:00+01:00")
    return value


def _whole(value: object, field: str, limits: tuple[int, int], bad: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not limits[0] <= value <= limits[1]:
        raise bad(f"{field!r} must be a whole number from {limits[0]} to {limits[1]}")
    return value


def _groups(
    entries: object, what: str, there: Collection[str], bad: Any
) -> dict[str, tuple[str, ...]]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise bad(f"write [[{what}]] above each {what}")
    found: dict[str, tuple[str, ...]] = {}
    for n, entry in enumerate(entries, start=1):
        name, members = entry.get("name"), entry.get("vaulters", [])
        if set(entry) - {"name", "vaulters"} or not isinstance(name, str) or not name.strip():
            raise bad(f"{what} {n} must have a 'name' and 'vaulters', and nothing else")
        if name in found:
            raise bad(f"there are two of a {what} {name!r}")
        if not isinstance(members, list) or not members:
            raise bad(f"{what} {name!r} has no vaulters")
        for member in members:
            if member not in there:
                entered = "entered" if what == "team" else "a vaulter here"
                raise bad(f"{what} {name!r} names {member!r}, who is not {entered}")
        if len(set(members)) < len(members):
            raise bad(f"{what} {name!r} names somebody twice")
        found[name] = tuple(members)
    return found


def _rulings(entries: object, entered: Sequence[str], bad: Any) -> tuple[Ruling, ...]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise bad("write [[ruling]] above each ruling")
    found = []
    for n, entry in enumerate(entries, start=1):
        for field in entry:
            if field not in ("vaulter", "kind", "reason", "recording", "trial"):
                raise bad(f"ruling {n}: {field!r} is not a field (a misspelling?)")
        vaulter, kind, reason = entry.get("vaulter"), entry.get("kind"), entry.get("reason")
        if vaulter not in entered:
            raise bad(f"ruling {n} is about {vaulter!r}, who is not entered")
        if kind not in ("withdrawn", "repeat"):
            raise bad(f'ruling {n}: \'kind\' must be "withdrawn" or "repeat"')
        if not isinstance(reason, str) or not reason.strip():
            raise bad(f"ruling {n} needs a 'reason'")
        recording, trial = "", 0
        if kind == "repeat":
            recording = entry.get("recording")
            if not isinstance(recording, str) or not recording.strip():
                raise bad(f"ruling {n} must name the 'recording'; 'contest --trials' lists them")
            trial = _whole(entry.get("trial"), "trial", (1, 99), bad)
        found.append(Ruling(vaulter, kind, reason.strip(), recording.strip(), trial))
    return tuple(found)
