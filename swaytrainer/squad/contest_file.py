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
her, so that it stays readable; her marks are gone, so the places are those of the others. In a file
of the data folder the name itself is erased, too; ``erased = 1`` then says of how many that is so.
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
from swaytrainer.words import Name, say

_REMEDY: Final = say("Mend it in the file and ask again: the recordings are untouched.")
_FIELDS: Final = {"title", "level", "since", "until", "seed", "trials", "warm_up", "team_counts",
                  "entries", "erased", "class", "team", "ruling", "stand_off"}  # fmt: skip
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

    def wrong(why: str, **values: object) -> SwaytrainerError:
        said = say(why, **{k: Name(v) if isinstance(v, str) else v for k, v in values.items()})
        return SwaytrainerError(say("{file}: {why}.", file=Name(where), why=said), _REMEDY)

    for field in table:
        if field not in _FIELDS:
            raise wrong("{field} is not a field of a contest (a misspelling?)", field=repr(field))
    title, level = table.get("title"), table.get("level")
    if not isinstance(title, str) or not title.strip() or not title.isprintable():
        raise wrong("'title' must be a text in quotes, in one line")
    if not isinstance(level, str) or level not in levels:
        raise wrong("'level' is {level}, and there is no such level", level=repr(level))
    since, until = (_time(table.get(field), field, wrong) for field in ("since", "until"))
    if not since < until:
        raise wrong("'until' must be later than 'since'")
    twice = [name for name, times in Counter(names).items() if times > 1]
    if twice:
        raise wrong(
            "there are two vaulters called {name}: give one another name", name=repr(twice[0])
        )
    gone += _whole(table.get("erased", 0), "erased", (0, 999), wrong)
    classes, outside, unmeasured = _classes(table, vaulters, wrong)
    if not any(classes.values()) and not gone:
        if unmeasured:
            raise wrong(
                "there is no class with vaulters; height or year of birth is not known of {names}",
                names=", ".join(unmeasured),
            )
        raise wrong("there is no class with vaulters")
    entered = [name for names in classes.values() for name in names]
    if len(set(entered)) < len(entered):
        again = next(name for name in entered if entered.count(name) > 1)
        raise wrong("{name} is entered twice", name=repr(again))
    teams = _groups(table.get("team", []), "team", entered, wrong)
    team_counts = _whole(table.get("team_counts", 2), "team_counts", (1, 99), wrong)
    members = [member for team in teams.values() for member in team]
    if len(set(members)) < len(members):
        raise wrong("a vaulter is in two teams")
    for name, team in teams.items():
        if len(team) < team_counts and not gone:
            raise wrong(
                "team {name} has fewer members than the {n} that count",
                name=repr(name),
                n=team_counts,
            )
    return Contest(
        title.strip(),
        level,
        _whole(table.get("trials", 3), "trials", TRIALS, wrong),
        since,
        until,
        _whole(table.get("seed", 0), "seed", (0, 10**9), wrong),
        classes,
        teams,
        team_counts,
        _rulings(table.get("ruling", []), entered, wrong),
        _whole(table.get("warm_up", 0), "warm_up", WARM_UPS, wrong),
        _stand_offs(table.get("stand_off", []), classes, wrong),
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


def _time(value: object, field: str, wrong: Any) -> datetime:
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise wrong(
            "{field} must be a time with its zone, as 2026-11-28T09:00:00+01:00",
            field=repr(field),
        )
    return value


def _whole(value: object, field: str, limits: tuple[int, int], wrong: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not limits[0] <= value <= limits[1]:
        raise wrong(
            "{field} must be a whole number from {low} to {high}",
            field=repr(field),
            low=limits[0],
            high=limits[1],
        )
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
    table: Mapping[str, Any], vaulters: Sequence[Vaulter], wrong: Any
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
            raise wrong(
                "a class by height or year must have a 'name', 'height_mm' or 'born', and nothing"
                " else: who is named goes into a class of their own"
            )
        if name in ranges:
            raise wrong("there are two of a class {name}", name=repr(name))
        ranges[name] = _Range(
            *(_bounds(bounds.get(f), f, name, wrong) for f in ("height_mm", "born"))
        )
    found = _groups(plain if isinstance(entries, list) else entries, "class", names, wrong)
    both = next((name for name in found if name in ranges), None)
    if both is not None:
        raise wrong("there are two of a class {name}", name=repr(both))
    named = {member for members in found.values() for member in members}
    wanted = _names(table.get("entries", names), "entries", names, wrong)
    if "entries" in table and not ranges:
        raise wrong("'entries' is for classes by height or year, and there are none")
    rest = [v for v in vaulters if v.name in wanted and v.name not in named]
    outside: tuple[str, ...] = ()
    unmeasured: tuple[str, ...] = ()
    if ranges:
        by_range, outside, unmeasured = _by_range(ranges, rest, wrong)
        if outside and "entries" in table:
            raise wrong("{names}: entered, and in no class", names=", ".join(outside))
        if unmeasured and "entries" in table:
            raise wrong(
                "{names}: entered, and in no class for want of height or year of birth;"
                " 'swaytrainer vaulter NAME --height MM --born YEAR' tells it",
                names=", ".join(unmeasured),
            )
        found |= by_range
    # In the file's order, whichever way a class is made.
    order = [e["name"] for e in entries if isinstance(e, dict)] if isinstance(entries, list) else []
    there = {name: found[name] for name in order if name in found}
    return there, outside, unmeasured


def _by_range(
    ranges: Mapping[str, _Range], vaulters: Sequence[Vaulter], wrong: Any
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
            raise wrong(
                "{name} is in two classes: {one} and {other}",
                name=repr(v.name),
                one=repr(into[0]),
                other=repr(into[1]),
            )
        if into:
            taken[into[0]].append(v.name)
        else:
            outside.append(v.name)
    classes = {name: tuple(members) for name, members in taken.items()}
    return classes, tuple(outside), unmeasured


def _bounds(value: object, field: str, name: str, wrong: Any) -> tuple[float, float] | None:
    if value is None:
        return None
    numbers = [finite_number(v) for v in value] if isinstance(value, list) else []
    if len(numbers) != 2 or None in numbers:
        raise wrong(
            "class {name}: {field} must be two numbers, as [0, 1400] or [2014, 2016]",
            name=repr(name),
            field=repr(field),
        )
    low, high = (n for n in numbers if n is not None)
    if low > high or (field == "height_mm" and low == high):
        raise wrong(
            "class {name}: {field} must go from the smaller to the larger number",
            name=repr(name),
            field=repr(field),
        )
    return low, high


def _names(value: object, field: str, there: Collection[str], wrong: Any) -> list[str]:
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise wrong("{field} must be a list of names in quotes", field=repr(field))
    unknown = next((name for name in value if name not in there), None)
    if unknown is not None:
        raise wrong(
            "{field} names {name}, who is not a vaulter here",
            field=repr(field),
            name=repr(unknown),
        )
    if len(set(value)) < len(value):
        raise wrong("{field} names somebody twice", field=repr(field))
    return value


def _stand_offs(
    entries: object, classes: Mapping[str, Sequence[str]], wrong: Any
) -> tuple[StandOff, ...]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise wrong("write [[stand_off]] above each stand-off")
    entered = [name for names in classes.values() for name in names]
    found = []
    for n, entry in enumerate(entries, start=1):
        if set(entry) - {"vaulters", "since"}:
            raise wrong(
                "stand-off {n} must have 'vaulters', may have 'since', and nothing else", n=n
            )
        members = _names(entry.get("vaulters"), f"stand-off {n}: vaulters", entered, wrong)
        if not any(set(members) <= set(names) for names in classes.values()) or len(members) < 2:
            raise wrong("stand-off {n} must be of two or more of one class", n=n)
        since = entry.get("since")
        found.append(
            StandOff(tuple(members), None if since is None else _time(since, "since", wrong))
        )
    return tuple(found)


def _groups(
    entries: object, what: str, there: Collection[str], wrong: Any
) -> dict[str, tuple[str, ...]]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise wrong("write [[{what}]] above each of them", what=what)
    found: dict[str, tuple[str, ...]] = {}
    for n, entry in enumerate(entries, start=1):
        name, members = entry.get("name"), entry.get("vaulters", [])
        if set(entry) - {"name", "vaulters"} or not isinstance(name, str) or not name.strip():
            raise wrong(
                "[[{what}]] {n} must have a 'name' and 'vaulters', and nothing else",
                what=what,
                n=n,
            )
        if name in found:
            raise wrong("there are two [[{what}]] {name}", what=what, name=repr(name))
        if not isinstance(members, list) or not members:
            raise wrong("[[{what}]] {name} has no vaulters", what=what, name=repr(name))
        for member in members:
            if member not in there:
                raise wrong(
                    "[[{what}]] {name} names {member}, who is not entered"
                    if what == "team"
                    else "[[{what}]] {name} names {member}, who is not a vaulter here",
                    what=what,
                    name=repr(name),
                    member=repr(member),
                )
        if len(set(members)) < len(members):
            raise wrong("[[{what}]] {name} names somebody twice", what=what, name=repr(name))
        found[name] = tuple(members)
    return found


def _rulings(entries: object, entered: Sequence[str], wrong: Any) -> tuple[Ruling, ...]:
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise wrong("write [[ruling]] above each ruling")
    found = []
    for n, entry in enumerate(entries, start=1):
        for field in entry:
            if field not in ("vaulter", "kind", "reason", "recording", "trial"):
                raise wrong(
                    "ruling {n}: {field} is not a field (a misspelling?)", n=n, field=repr(field)
                )
        vaulter, kind, reason = entry.get("vaulter"), entry.get("kind"), entry.get("reason")
        if vaulter not in entered:
            raise wrong("ruling {n} is about {name}, who is not entered", n=n, name=repr(vaulter))
        if kind not in ("withdrawn", "repeat"):
            raise wrong('ruling {n}: \'kind\' must be "withdrawn" or "repeat"', n=n)
        if not isinstance(reason, str) or not reason.strip():
            raise wrong("ruling {n} needs a 'reason'", n=n)
        recording, trial = "", 0
        if kind == "repeat":
            recording = entry.get("recording")
            if not isinstance(recording, str) or not recording.strip():
                raise wrong(
                    "ruling {n} must name the 'recording'; 'contest --trials' lists them", n=n
                )
            trial = _whole(entry.get("trial"), "trial", (1, 99), wrong)
        found.append(Ruling(vaulter, kind, reason.strip(), recording.strip(), trial))
    return tuple(found)
