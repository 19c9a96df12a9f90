"""The plan's text with other groups: whatever else stands in it stays, comments too."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.plan import Group, read_plan
from swaytrainer.words import Name, say

#: A group, and which one of the text's it was, from 0; None for a new one.
Kept = tuple[int | None, Group]


def edited_plan(
    text: str,
    where: str,
    groups: Sequence[Kept],
    vaulters: Collection[str],
    levels: Collection[str],
) -> str:
    """The text with these groups, in this order.

    Args:
        text: of the plan as it is.
        where: how to call the file in an error.
        groups: those that there shall be.
        vaulters, levels: names and ids that there are.

    Raises:
        SwaytrainerError: the text is no plan, or can't be changed without a risk, or the new one
            is none.
    """
    before = read_plan(text, where, vaulters, levels).groups
    if list(enumerate(before)) == list(groups):
        return text
    from tomlkit.exceptions import TOMLKitError

    from swaytrainer.store.toml_tables import tables_of, with_tables, with_values

    try:
        entries = tables_of(text, "group")
        changed: list[tuple[int | None, str]] = []
        for n, group in groups:
            was = None if n is None else before[n]
            values = {
                field: None if value == usual and field != "name" else value
                for field, value, usual in _fields(group)
                if was is None or getattr(was, field) != getattr(group, field)
            }
            own = "" if n is None else entries[n]
            changed.append((n, with_values(own, "group", values) if values else own))
        new = with_tables(text, "group", changed)
        right = read_plan(new, where, vaulters, levels).groups == tuple(g for _, g in groups)
    except (TOMLKitError, IndexError, ValueError):
        right = False
    if not right:
        raise SwaytrainerError(
            say("{file} can't be changed here without a risk.", file=Name(where)),
            say("Change it as text."),
        )
    return new


def _fields(group: Group) -> list[tuple[str, object, object]]:
    """What is written of a group, and what is left out."""
    return [
        ("name", group.name, None),
        ("vaulters", list(group.vaulters), []),
        ("levels", list(group.levels), []),
        ("minutes", int(group.minutes) if group.minutes == int(group.minutes) else group.minutes,
         None),
        ("station", group.station, ""),
    ]  # fmt: skip
