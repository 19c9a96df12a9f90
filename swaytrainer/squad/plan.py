"""The coach's plan as text: groups of vaulters, and what each group does this evening.

::

    [[group]]
    name = "Juniors"
    vaulters = ["Wren", "Tarn"]
    levels = ["millpond-shore", "picnic-meadow"]   # in this order
    minutes = 8                                   # on the board, at most, for each
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import finite_number, parse_toml

FILE: Final = "squad.toml"
#: Usual minutes on the board, and the limits: 4 to 15 are what helped young people (Gebel,
#: Lesinski, Behm, Granacher, Sports Medicine 2018;48:2067-2089).
MINUTES: Final = 8.0
MINUTES_LIMITS: Final = (1.0, 30.0)
_REMEDY: Final = "Mend that line and save the file; until then the last good plan stays in use."
_FIELDS: Final = ("name", "vaulters", "levels", "minutes")


@dataclass(frozen=True, slots=True)
class Group:
    """Some vaulters who do the same.

    Attributes:
        name: what the coach calls them.
        vaulters: names, in the order in which they are called.
        levels: ids, in the order in which they are done; empty for what the ladder says.
        minutes: on the board at most, for each vaulter.
    """

    name: str
    vaulters: tuple[str, ...]
    levels: tuple[str, ...] = ()
    minutes: float = MINUTES


@dataclass(frozen=True, slots=True)
class Plan:
    """An evening's groups; nobody is in two of them."""

    groups: tuple[Group, ...]

    @property
    def vaulters(self) -> tuple[str, ...]:
        """All names, group after group."""
        return tuple(name for group in self.groups for name in group.vaulters)

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
        raise SwaytrainerError(f"{where}: write [[group]] above each group.", _REMEDY)
    reader = _Reader(text, where, vaulters, levels)
    plan = Plan(tuple(reader.group(n, entry) for n, entry in enumerate(entries)))
    seen: set[str] = set()
    for n, group in enumerate(plan.groups):
        for name in group.vaulters:
            if name in seen:
                raise reader.bad(n, "vaulters", f"{name!r} is in two groups, or twice in one")
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
        place = f"line {line}, " if line else f"group {group + 1}, "
        return SwaytrainerError(f"{self._where}, {place}{field!r} {why}.", _REMEDY)

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
                raise self.bad(n, field, "is not a field of a group (a misspelling?)")
        name = entry.get("name")
        if not isinstance(name, str) or not name.strip() or not name.isprintable():
            raise self.bad(n, "name", "is missing; it must be a text in quotes")
        minutes = finite_number(entry.get("minutes", MINUTES))
        low, high = MINUTES_LIMITS
        if minutes is None or not low <= minutes <= high:
            raise self.bad(n, "minutes", f"must be a number from {low:g} to {high:g}")
        return Group(
            name.strip(),
            self._names(n, entry, "vaulters", self._vaulters, "vaulter"),
            self._names(n, entry, "levels", self._levels, "level"),
            minutes,
        )

    def _names(
        self, n: int, entry: dict[str, object], field: str, there: Collection[str], what: str
    ) -> tuple[str, ...]:
        value = entry.get(field, [])
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise self.bad(n, field, "must be a list of texts in quotes")
        for each in value:
            if each not in there:
                raise self.bad(n, field, f"names {each!r}, and there is no such {what}")
        return tuple(value)


def plan_text(vaulters: Sequence[str]) -> str:
    """A plan to begin with: one group of all, with what the ladder says."""
    names = ", ".join(_quoted(name) for name in vaulters)
    return f"""# This evening's plan. Whoever stands first is called first; a vaulter in two groups is a mistake.
# levels: ids in the order in which they are done; leave it out for what the ladder says.
# minutes: on the board at most, for each vaulter.

[[group]]
name = "Squad"
vaulters = [{names}]
# levels = ["millpond-shore", "picnic-meadow"]
minutes = {MINUTES:g}
"""  # noqa: E501


def _quoted(name: str) -> str:
    import json

    # A JSON string is a TOML basic string, but for the one control character that TOML forbids.
    return json.dumps(name, ensure_ascii=False).replace("\\u007f", "\\u007F")
