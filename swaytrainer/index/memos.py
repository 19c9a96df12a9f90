"""What was reckoned from one vaulter's trials, kept until they change.

A text for each vaulter and kind. ``building`` throws a vaulter's away with every change of a
sitting, so what is found holds; what is kept must be reckoned in the same transaction, which lets
nobody write in between.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeVar

from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.database import begun
from swaytrainer.index.schema import MEMOS

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

T = TypeVar("T")


def reckoned(
    engine: Engine,
    reckon: Callable[[Connection], T],
    kept: Callable[[Connection, T], None],
) -> T:
    """Reckon something and keep it; while somebody else writes, only reckon it.

    Args:
        engine: the index, opened.
        reckon: what is wanted, from the index as it stands.
        kept: keeps it, in the same transaction: what comes in between can't make it untrue.

    Raises:
        SwaytrainerError: the index can't be read either.
    """
    try:
        with begun(engine) as connection:
            made = reckon(connection)
            kept(connection, made)
            return made
    except SwaytrainerError:
        with begun(engine, reads=True) as connection:
            return reckon(connection)


def recalled(connection: Connection, kind: str) -> dict[str, str]:
    """The texts of this kind by vaulter."""
    from sqlalchemy import select

    query = select(MEMOS.c.vaulter, MEMOS.c.text).where(MEMOS.c.kind == kind)
    return {vaulter: text for vaulter, text in connection.execute(query)}  # noqa: C416 - rows


def keep(connection: Connection, kind: str, texts: Mapping[str, str]) -> None:
    """Keep these, and of the same vaulters nothing else of this kind.

    Args:
        connection: of a transaction that writes.
        kind: what they are.
        texts: by vaulter.
    """
    from sqlalchemy import bindparam, delete, insert

    if not texts:
        return
    gone = delete(MEMOS).where(MEMOS.c.vaulter == bindparam("of"), MEMOS.c.kind == kind)
    connection.execute(gone, [{"of": name} for name in texts])
    rows = [{"vaulter": name, "kind": kind, "text": text} for name, text in texts.items()]
    connection.execute(insert(MEMOS), rows)
