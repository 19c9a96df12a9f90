"""The coach's plan as text: groups of vaulters, and what each group does this evening.

::

    [[group]]
    name = "Juniors"
    vaulters = ["Wren", "Tarn"]
    levels = ["millpond-shore", "picnic-meadow"]   # in this order
    minutes = 8                                   # on the board, at most, for each
    station = "left"                              # only at this board; leave it out for any
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import finite_number, parse_toml
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import Name, say

FILE: Final = "squad.toml"
#: Usual minutes on the board, and the limits: 4 to 15 are what helped young people (Gebel,
#: Lesinski, Behm, Granacher, Sports Medicine 2018;48:2067-2089).
MINUTES: Final = 8.0
MINUTES_LIMITS: Final = (1.0, 30.0)
_REMEDY: Final = say(
    "Mend that line and save the file; until then the last good plan stays in use."
)
_FIELDS: Final = ("name", "vaulters", "levels", "minutes", "station")


@dataclass(frozen=True, slots=True)
class Group:
    """Some vaulters who do the same.

    Attributes:
        name: what the coach calls them.
        vaulters: names, in the order in which they are called.
        levels: ids, in the order in which they are done; empty for what the ladder says.
        minutes: on the board at most, for each vaulter.
        station: name of the only station that calls them; empty for any.
    """

    name: str
    vaulters: tuple[str, ...]
    levels: tuple[str, ...] = ()
    minutes: float = MINUTES
    station: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """An evening's groups; nobody is in two of them."""

    groups: tuple[Group, ...]

    @property
    def vaulters(self) -> tuple[str, ...]:
        """All names, group after group."""
        return tuple(name for group in self.groups for name in group.vaulters)

    @property
    def stations(self) -> tuple[str, ...]:
        """The stations that are named, each once."""
        return tuple(dict.fromkeys(g.station for g in self.groups if g.station))

    def group_of(self, name: str) -> Group | None:
        """The group of a vaulter."""
        return next((group for group in self.groups if name in group.vaulters), None)


def read_plan(text: str, where: str, vaulters: Collection[str], levels: Collection[str]) -> Plan:
    """The plan that a text tells.

    Args:
        text: of the file.
        where: how to call the file in an error.
        vaulters: the names that there are.
        levels: the ids that there are.

    Raises:
        SwaytrainerError: what is wrong, in which line, and what to do.

    >>> plan = read_plan('[[group]]\\nname = "A"\\nvaulters = ["Wren"]', "a", ["Wren"], [])
    >>> plan.vaulters, plan.groups[0].minutes
    (('Wren',), 8.0)
    """
    entries = parse_toml(text, where, _REMEDY).get("group", [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise SwaytrainerError(
            say("{file}: write [[group]] above each group.", file=Name(where)), _REMEDY
        )
    reader = _Reader(text, where, vaulters, levels)
    plan = Plan(tuple(reader.group(n, entry) for n, entry in enumerate(entries)))
    seen: set[str] = set()
    for n, group in enumerate(plan.groups):
        for name in group.vaulters:
            if name in seen:
                twice = say("{name} is in two groups, or twice in one", name=Name(repr(name)))
                raise reader.bad(n, "vaulters", twice)
            seen.add(name)
    return plan


class _Reader:
    def __init__(
        self, text: str, where: str, vaulters: Collection[str], levels: Collection[str]
    ) -> None:
        self._lines = text.splitlines()
        self._where = where
        self._vaulters, self._levels = vaulters, levels

    def bad(self, group: int, field: str, why: str) -> SwaytrainerError:
        line = self._line(group, field)
        place = say("line {n}", n=line) if line else say("group {n}", n=group + 1)
        what = say(
            "{file}, {place}: {field} {why}.",
            file=Name(self._where),
            place=place,
            field=Name(repr(field)),
            why=why,
        )
        return SwaytrainerError(what, _REMEDY)

    def _line(self, group: int, field: str) -> int:
        at = -1
        for number, line in enumerate(self._lines, start=1):
            stripped = line.strip()
            at += stripped.startswith("[[")
            if at == group and stripped.startswith(field):
                return number
        return 0

    def group(self, n: int, entry: dict[str, object]) -> Group:
        for field in entry:
            if field not in _FIELDS:
                raise self.bad(n, field, say("is not a field of a group (a misspelling?)"))
        name = entry.get("name")
        if not isinstance(name, str) or not name.strip() or not name.isprintable():
            raise self.bad(n, "name", say("is missing; it must be a text in quotes"))
        minutes = finite_number(entry.get("minutes", MINUTES))
        low, high = MINUTES_LIMITS
        if minutes is None or not low <= minutes <= high:
            raise self.bad(
                n, "minutes", say("must be a number from {low:g} to {high:g}", low=low, high=high)
            )
        station = entry.get("station", "")
        if not isinstance(station, str) or (station and not station.isprintable()):
            raise self.bad(n, "station", say("must be a text in quotes"))
        return Group(
            name.strip(),
            self._names(n, entry, "vaulters", self._vaulters, say("vaulter")),
            self._names(n, entry, "levels", self._levels, say("level")),
            minutes,
            station.strip(),
        )

    def _names(
        self, n: int, entry: dict[str, object], field: str, there: Collection[str], what: str
    ) -> tuple[str, ...]:
        value = entry.get(field, [])
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise self.bad(n, field, say("must be a list of texts in quotes"))
        for each in value:
            if each not in there:
                unknown = say(
                    "names {name}, and there is no such {what}", name=Name(repr(each)), what=what
                )
                raise self.bad(n, field, unknown)
        return tuple(value)


def plan_text(groups: Mapping[str, Sequence[str]]) -> str:
    """A plan to begin with: these groups, each with what the ladder says.

    Args:
        groups: names of vaulters by the group's name, in the order in which they are called.
    """
    head = """# This evening's plan. Whoever stands first is called first; a vaulter in two groups is a mistake.
# levels: ids in the order in which they are done; leave it out for what the ladder says.
# minutes: on the board at most, for each vaulter.
# station: with several boards, the only one that calls this group; leave it out for any.
"""  # noqa: E501
    return head + "".join(_group_text(name, names) for name, names in groups.items())


def _group_text(name: str, names: Sequence[str]) -> str:
    return f"""
[[group]]
name = {_quoted(name)}
vaulters = [{", ".join(_quoted(each) for each in names)}]
# levels = ["millpond-shore", "picnic-meadow"]
minutes = {MINUTES:g}
# station = "left"
"""


def missing(plan: Plan, vaulters: Sequence[Vaulter]) -> list[Vaulter]:
    """Who is listed and in no group."""
    planned = set(plan.vaulters)
    return [v for v in vaulters if v.name not in planned]


def with_missing(plan: Plan, vaulters: Sequence[Vaulter]) -> list[tuple[int | None, Group]]:
    """The plan's groups with everybody in one: each behind the others of the group that is theirs.

    Args:
        plan: as it is.
        vaulters: all who are listed.

    Returns:
        Each group with its place in the plan, from 0; None for a new one.

    >>> plan = Plan((Group("Juniors", ("Wren",)),))
    >>> there = [Vaulter("Wren"), Vaulter("Pim", group="Juniors"), Vaulter("Tarn")]
    >>> [(n, g.name, g.vaulters) for n, g in with_missing(plan, there)]
    [(0, 'Juniors', ('Wren', 'Pim')), (None, 'Squad', ('Tarn',))]
    """
    late = groups_of(missing(plan, vaulters))
    found: list[tuple[int | None, Group]] = []
    for n, group in enumerate(plan.groups):
        names = (*group.vaulters, *late.pop(group.name, ()))
        found.append((n, replace(group, vaulters=names)))
    return found + [(None, Group(name, tuple(names))) for name, names in late.items()]


def with_group(plan: Plan, at: int | None, group: Group) -> list[tuple[int | None, Group]]:
    """The plan's groups with another one at a place, or behind all (None).

    Whoever is in it leaves the others: nobody is in two. What is returned is as in
    ``with_missing``.
    """
    found: list[tuple[int | None, Group]] = []
    for n, other in enumerate(plan.groups):
        if n == at:
            found.append((n, group))
        else:
            left = tuple(name for name in other.vaulters if name not in group.vaulters)
            found.append((n, replace(other, vaulters=left)))
    return found if at is not None else [*found, (None, group)]


def groups_of(vaulters: Sequence[Vaulter]) -> dict[str, list[str]]:
    """The squad's groups as their vaulters tell them; whoever tells none is in "Squad".

    >>> groups_of([Vaulter("Wren", group="Juniors"), Vaulter("Tarn")])
    {'Juniors': ['Wren'], 'Squad': ['Tarn']}
    """
    found: dict[str, list[str]] = {}
    for vaulter in vaulters:
        found.setdefault(vaulter.group or "Squad", []).append(vaulter.name)
    return found


def _quoted(name: str) -> str:
    import json

    # A JSON string is a TOML basic string, but for the one control character that TOML forbids.
    return json.dumps(name, ensure_ascii=False).replace("\\u007f", "\\u007F")
