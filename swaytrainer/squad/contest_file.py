"""A contest as text, and what is wrong in it.

::

    title = "Autumn cup"
    level = "millpond-open-water"
    since = 2026-11-28T09:00:00+01:00
    until = 2026-11-28T18:00:00+01:00
    seed = 4711          # of the draw
    trials = 3           # of each, the mean counts
    warm_up = 1          # of each before them, never counted
    team_counts = 2      # so many best members

    [[class]]
    name = "Under 140 cm"
    height_mm = [0, 1400]            # from 0 up to, and without, 1400

    [[class]]
    name = "Born 2010 to 2012"
    born = [2010, 2012]              # both years too

    [[class]]
    name = "Guests"
    vaulters = ["Wren", "Tarn"]      # by name: taken out of the classes above

    [[team]]
    name = "Otters"
    vaulters = ["Wren", "Mika", "Tarn"]

    [[ruling]]
    vaulter = "Wren"
    kind = "repeat"      # or "withdrawn"
    recording = "173000-millpond-open-water-wren.sway"
    trial = 1            # its number in the recording
    reason = "somebody stepped onto the cable"

    [[stand_off]]        # one more trial each
    vaulters = ["Wren", "Tarn"]
    since = 2026-11-28T15:10:00+01:00    # what was done before is none of it

Into a class by height or year of birth come all vaulters there are, or those that
``entries = ["Wren", ...]`` names; who has no height or year yet is left out and told. A ruling or a
stand-off that is deleted never was. Who is erased for good is passed over wherever the file names
her, so that it stays readable; her marks are gone, so the places are those of the others.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import datetime
from typing import Any, Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest import Contest, Ruling, StandOff
from swaytrainer.toml_text import finite_number, parse_toml
from swaytrainer.training.vaulter import Vaulter

_REMEDY: Final = "Mend it in the file and ask again: the recordings are untouched."
_FIELDS: Final = {"title", "level", "since", "until", "seed", "trials", "warm_up", "team_counts",
                  "entries", "class", "team", "ruling", "stand_off"}  # fmt: skip
TRIALS: Final = (1, 9)
WARM_UPS: Final = (0, 3)


def read_contest(
    text: str,
    where: str,
    vaulters: Sequence[Vaulter],
    levels: Collection[str],
    erased: Callable[[str], bool] = lambda _name: False,
) -> Contest:
    """The contest that a text tells.

    Args:
        text: of the file.
        where: how to call the file in an error.
        vaulters: all that there are.
        levels: the ids that there are.
        erased: whether a name is of somebody who was erased for good.

    Raises:
        SwaytrainerError: what is wrong, where, and what to do.
    """
    names = [v.name for v in vaulters]
    table, gone = _without(parse_toml(text, where, _REMEDY), names, erased)

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
    twice = [name for name, times in Counter(names).items() if times > 1]
    if twice:
        raise bad(f"there are two vaulters called {twice[0]!r}: give one another name")
    classes, outside, unmeasured = _classes(table, vaulters, bad)
    if not any(classes.values()) and not gone:
        lacking = ", ".join(unmeasured)
        raise bad(
            "there is no [[class]] with vaulters"
            + (f"; height or year of birth is not known of {lacking}" if lacking else "")
        )
    entered = [name for names in classes.values() for name in names]
    if len(set(entered)) < len(entered):
        again = next(name for name in entered if entered.count(name) > 1)
        raise bad(f"{again!r} is entered twice")
    teams = _groups(table.get("team", []), "team", entered, bad)
    team_counts = _whole(table.get("team_counts", 2), "team_counts", (1, 99), bad)
    members = [member for team in teams.values() for member in team]
    if len(set(members)) < len(members):
        raise bad("a vaulter is in two teams")
    for name, team in teams.items():
        if len(team) < team_counts and not gone:
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
        _whole(table.get("warm_up", 0), "warm_up", WARM_UPS, bad),
        _stand_offs(table.get("stand_off", []), classes, bad),
        outside,
        unmeasured,
        gone,
    )


def _without(
    table: dict[str, Any], there: Collection[str], erased: Callable[[str], bool]
) -> tuple[dict[str, Any], int]:
    """The file without those who are erased, and how many they are; what is odd stays as it is."""
    known: dict[str, bool] = {}

    def gone(name: object) -> bool:
        if not isinstance(name, str) or name in there:
            return False
        if name not in known:
            known[name] = erased(name)
        return known[name]

    def thinned(entry: Any, least: int) -> Any:
        """Without their names; None where fewer than ``least`` are left."""
        named = entry.get("vaulters") if isinstance(entry, dict) else None
        if not isinstance(named, list) or not any(map(gone, named)):
            return entry
        left = [name for name in named if not gone(name)]
        return {**entry, "vaulters": left} if len(left) >= least else None

    after = dict(table)
    for key, least in (("class", 1), ("team", 1), ("stand_off", 2)):
        if isinstance(entries := table.get(key), list):
            kept = [thinned(entry, least) for entry in entries]
            after[key] = [entry for entry in kept if entry is not None]
    if isinstance(rulings := table.get("ruling"), list):
        after["ruling"] = [
            r for r in rulings if not (isinstance(r, dict) and gone(r.get("vaulter")))
        ]
    if isinstance(entries := table.get("entries"), list):
        after["entries"] = [name for name in entries if not gone(name)]
    return after, sum(known.values())


def _time(value: object, field: str, bad: Any) -> datetime:
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise bad(f"{field!r} must be a time with its zone, as 2026-11-28T09:00:00+01:00")
    return value


def _whole(value: object, field: str, limits: tuple[int, int], bad: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not limits[0] <= value <= limits[1]:
        raise bad(f"{field!r} must be a whole number from {limits[0]} to {limits[1]}")
    return value


class _Range(NamedTuple):
    """Whom a class takes by a field; ``below`` is left out, ``last`` is not."""

    height: tuple[float, float] | None
    born: tuple[float, float] | None

    def takes(self, vaulter: Vaulter) -> bool:
        if self.height is not None:
            height = vaulter.height_mm
            if height is None or not self.height[0] <= height < self.height[1]:
                return False
        if self.born is not None:
            return vaulter.born is not None and self.born[0] <= vaulter.born <= self.born[1]
        return True


def _classes(
    table: Mapping[str, Any], vaulters: Sequence[Vaulter], bad: Any
) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...], tuple[str, ...]]:
    """The classes, who is there and in none of them, and of whom it isn't known."""
    entries = table.get("class", [])
    names = [v.name for v in vaulters]
    ranges: dict[str, _Range] = {}
    plain = []
    for entry in entries if isinstance(entries, list) else ():
        bounds = {
            f: entry[f] for f in ("height_mm", "born") if isinstance(entry, dict) and f in entry
        }
        if not bounds:
            plain.append(entry)
            continue
        name = entry.get("name")
        if (
            set(entry) - {"name", "height_mm", "born"}
            or not isinstance(name, str)
            or not name.strip()
        ):
            raise bad(
                "a class by height or year must have a 'name', 'height_mm' or 'born', and nothing"
                " else: who is named goes into a class of their own"
            )
        if name in ranges:
            raise bad(f"there are two of a class {name!r}")
        ranges[name] = _Range(
            *(_bounds(bounds.get(f), f, name, bad) for f in ("height_mm", "born"))
        )
    found = _groups(plain if isinstance(entries, list) else entries, "class", names, bad)
    both = next((name for name in found if name in ranges), None)
    if both is not None:
        raise bad(f"there are two of a class {both!r}")
    named = {member for members in found.values() for member in members}
    wanted = _names(table.get("entries", names), "entries", names, bad)
    if "entries" in table and not ranges:
        raise bad("'entries' is for classes by height or year, and there are none")
    rest = [v for v in vaulters if v.name in wanted and v.name not in named]
    outside: tuple[str, ...] = ()
    unmeasured: tuple[str, ...] = ()
    if ranges:
        by_range, outside, unmeasured = _by_range(ranges, rest, bad)
        if outside and "entries" in table:
            raise bad(f"{', '.join(outside)}: entered, and in no class")
        if unmeasured and "entries" in table:
            raise bad(
                f"{', '.join(unmeasured)}: entered, and in no class for want of height or year of"
                " birth; 'swaytrainer vaulter NAME --height MM --born YEAR' tells it"
            )
        found |= by_range
    # In the file's order, whichever way a class is made.
    order = [e["name"] for e in entries if isinstance(e, dict)] if isinstance(entries, list) else []
    there = {name: found[name] for name in order if name in found}
    return there, outside, unmeasured


def _by_range(
    ranges: Mapping[str, _Range], vaulters: Sequence[Vaulter], bad: Any
) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...], tuple[str, ...]]:
    by_height = any(r.height is not None for r in ranges.values())
    by_year = any(r.born is not None for r in ranges.values())
    # Who joins while a contest runs may not be measured yet: it must not stop the others.
    unmeasured = tuple(
        v.name
        for v in vaulters
        if (by_height and v.height_mm is None) or (by_year and v.born is None)
    )
    taken: dict[str, list[str]] = {name: [] for name in ranges}
    outside = []
    for v in vaulters:
        if v.name in unmeasured:
            continue
        into = [name for name, wanted in ranges.items() if wanted.takes(v)]
        if len(into) > 1:
            raise bad(f"{v.name!r} is in two classes: {into[0]!r} and {into[1]!r}")
        if into:
            taken[into[0]].append(v.name)
        else:
            outside.append(v.name)
    classes = {name: tuple(members) for name, members in taken.items()}
    return classes, tuple(outside), unmeasured


def _bounds(value: object, field: str, name: str, bad: Any) -> tuple[float, float] | None:
    if value is None:
        return None
    numbers = [finite_number(v) for v in value] if isinstance(value, list) else []
    if len(numbers) != 2 or None in numbers:
        raise bad(f"class {name!r}: {field!r} must be two numbers, as [0, 1400] or [2014, 2016]")
    low, high = (n for n in numbers if n is not None)
    if low > high or (field == "height_mm" and low == high):
        raise bad(f"class {name!r}: {field!r} must go from the smaller to the larger number")
    return low, high


def _names(value: object, field: str, there: Collection[str], bad: Any) -> list[str]:
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise bad(f"{field!r} must be a list of names in quotes")
    unknown = next((name for name in value if name not in there), None)
    if unknown is not None:
        raise bad(f"{field!r} names {unknown!r}, who is not a vaulter here")
    if len(set(value)) < len(value):
        raise bad(f"{field!r} names somebody twice")
    return value


def _stand_offs(
    entries: object, classes: Mapping[str, Sequence[str]], bad: Any
) -> tuple[StandOff, ...]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise bad("write [[stand_off]] above each stand-off")
    entered = [name for names in classes.values() for name in names]
    found = []
    for n, entry in enumerate(entries, start=1):
        if set(entry) - {"vaulters", "since"}:
            raise bad(f"stand-off {n} must have 'vaulters', may have 'since', and nothing else")
        members = _names(entry.get("vaulters"), f"stand-off {n}: vaulters", entered, bad)
        if not any(set(members) <= set(names) for names in classes.values()) or len(members) < 2:
            raise bad(f"stand-off {n} must be of two or more of one class")
        since = entry.get("since")
        found.append(
            StandOff(tuple(members), None if since is None else _time(since, "since", bad))
        )
    return tuple(found)


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
