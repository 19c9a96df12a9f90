"""What the recordings hold of every trial, from the index, in the form in which they keep it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from swaytrainer.index.schema import FILES, LEVELS, SITTINGS, TRIALS

if TYPE_CHECKING:
    from sqlalchemy import Connection

_TERMS: Final = ("rate_hz", "filter", "seconds", "base", "stance", "eyes", "feedback")


class KeptSitting(NamedTuple):
    """One sitting and its outcomes.

    Attributes:
        vaulter, board, made, path: as the recording tells them; the path in the recordings' folder.
        level_hash, level_text: what was done.
        outcomes: as ``store.recording`` keeps them; "terms" is None where this version doesn't
            know them.
    """

    vaulter: str
    board: str
    made: str
    path: str
    level_hash: str
    level_text: str
    outcomes: tuple[dict[str, Any], ...]


def kept_sittings(
    connection: Connection, vaulters: list[str] | None = None
) -> Iterator[KeptSitting]:
    """All sittings, in the order of their files.

    Args:
        connection: to the index.
        vaulters: only theirs; None for all.
    """
    from sqlalchemy import select

    texts = connection.execute(select(LEVELS.c.hash, LEVELS.c.text))
    levels: dict[str, str] = {key: text for key, text in texts}  # noqa: C416 - rows, not tuples
    chosen = select(
        SITTINGS.c.id, SITTINGS.c.vaulter, SITTINGS.c.board, SITTINGS.c.made, SITTINGS.c.path,
        SITTINGS.c.level,
    ).order_by(SITTINGS.c.path)  # fmt: skip
    trials = select(
        TRIALS.c.sitting, TRIALS.c.number, TRIALS.c.counts, TRIALS.c.mark, TRIALS.c.step_offs,
        TRIALS.c.known, TRIALS.c.measures, *(TRIALS.c[name] for name in _TERMS),
    ).order_by(TRIALS.c.sitting, TRIALS.c.number)  # fmt: skip
    if vaulters is not None:
        chosen = chosen.where(SITTINGS.c.vaulter.in_(vaulters))
        trials = trials.join(SITTINGS, SITTINGS.c.id == TRIALS.c.sitting).where(
            SITTINGS.c.vaulter.in_(vaulters)
        )
    outcomes: dict[str, list[dict[str, Any]]] = {}
    for key, number, counts, mark, step_offs, known, measures, *terms in connection.execute(trials):
        outcomes.setdefault(key, []).append(
            {
                "number": number,
                "counts": counts,
                "mark": mark,
                "step_offs": step_offs,
                "measures": measures,
                "terms": dict(zip(_TERMS, terms, strict=True)) if known else None,
            }
        )
    for key, vaulter, board, made, path, level in connection.execute(chosen):
        yield KeptSitting(
            vaulter, board, made, path, level, levels[level], tuple(outcomes.get(key, ()))
        )


def left_out(connection: Connection) -> list[str]:
    """A sentence for each file that is no recording, in the order of their names."""
    from sqlalchemy import select

    query = select(FILES.c.trouble).where(FILES.c.trouble.is_not(None)).order_by(FILES.c.path)
    return list(connection.execute(query).scalars())
