"""Tables of one kind in a text that people write, taken out and put back with their comments."""

from __future__ import annotations

from collections.abc import Sequence

from tomlkit import TOMLDocument, aot, parse, table
from tomlkit.items import AoT, Table


def tables_of(text: str, key: str) -> list[Table]:
    """The ``[[key]]`` tables, in the text's order; empty where there are none.

    Each call parses anew: a table that is put into a document is that document's alone.
    """
    there = parse(text).get(key)
    return list(there.body) if isinstance(there, AoT) else []


def put_tables(document: TOMLDocument, key: str, tables: Sequence[Table]) -> None:
    """Put these in the place of all ``[[key]]`` tables of a document."""
    if not tables:
        document.pop(key, None)
        return
    made = aot()
    for each in tables:
        made.append(each)
    document[key] = made


def table_at(tables: Sequence[Table], at: int | None) -> Table:
    """One of the tables that there were, or a new one (None)."""
    return table() if at is None else tables[at]
