"""The index's tables. Its truth is the recordings: every row can be made again from them.

A sitting is one recording. Its key is made of what its head says of itself, so a file copied twice,
half copied or still growing is the same sitting, and no trial is ever there twice.

A sitting's time is that at which it began, as the recording tells it; an outcome doesn't keep when
its own trial began, so trials are ordered by their sitting and their number in it.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    false,
)

TABLES: Final = MetaData()

#: Files that were looked at: what has not changed is not read again. ``trouble``: why one is none.
FILES: Final = Table(
    "files",
    TABLES,
    Column("path", Text, primary_key=True),
    Column("size", BigInteger, nullable=False),
    Column("modified_ns", BigInteger, nullable=False),
    Column("sitting", String(32)),
    Column("trials", Integer, nullable=False),
    Column("trouble", Text),
)

#: Names that the recordings tell, whether or not they are still in the vaulters' file.
VAULTERS: Final = Table("vaulters", TABLES, Column("name", Text, primary_key=True))

BOARDS: Final = Table(
    "boards",
    TABLES,
    Column("id", Text, primary_key=True),
    Column("cells", Integer, nullable=False),
)

#: Each version of a level by the hash of its text: one that was changed is another.
LEVELS: Final = Table(
    "levels",
    TABLES,
    Column("hash", String(64), primary_key=True),
    Column("id", Text, nullable=False),
    Column("game", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("text", Text, nullable=False),
)

SITTINGS: Final = Table(
    "sittings",
    TABLES,
    Column("id", String(32), primary_key=True),
    Column("vaulter", Text, ForeignKey("vaulters.name"), nullable=False),
    Column("board", Text, ForeignKey("boards.id"), nullable=False),
    Column("station", Text, nullable=False),
    Column("level", String(64), ForeignKey("levels.hash"), nullable=False),
    Column("path", Text, nullable=False),
    Column("made", Text, nullable=False),  # ISO, with the club's own offset
    Column("made_s", Float),  # seconds since 1970 UTC, to sort by; NULL where no date is told
    Column("version", Text, nullable=False),
    Index("sittings_by_vaulter", "vaulter", "made_s"),
    Index("sittings_by_time", "made_s"),
)

TRIALS: Final = Table(
    "trials",
    TABLES,
    Column("sitting", String(32), ForeignKey("sittings.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("counts", Boolean, nullable=False),
    Column("why_not", Text),  # NULL where it counts
    Column("ended", Text, nullable=False),
    Column("mark", Float),
    Column("deduction", Float),
    Column("reason", Text, nullable=False),
    Column("step_offs", Integer),
    Column("off_board_s", Float),
    Column("lost_s", Float),
    Column("body_n", Float),
    Column("rate_hz", Float),
    Column("filter", Text),
    Column("seconds", Float),
    Column("base", Text),
    Column("stance", Text),
    Column("eyes", Text),
    Column("feedback", Text),
    # Whether the terms are such as this version knows: a newer one's may not be compared.
    Column("known", Boolean, nullable=False, server_default=false()),
    Column("parts", JSON, nullable=False),
    Column("measures", JSON, nullable=False),
    # Trials are counted without reading their measures.
    Index("trials_by_counting", "sitting", "counts"),
)

#: What was reckoned from all of a vaulter's trials, by kind: thrown away whenever they change.
MEMOS: Final = Table(
    "memos",
    TABLES,
    Column("vaulter", Text, primary_key=True),
    Column("kind", Text, primary_key=True),
    Column("text", Text, nullable=False),
)

#: Of a hall: persons erased at any station, as salted hashes without names, so that no station
#: brings them again. In a station's own index it stays empty: its list lies beside it.
ERASED: Final = Table(
    "erased",
    TABLES,
    Column("salt", String(64), primary_key=True),
    Column("hash", String(128), primary_key=True),
)

#: The newest step in ``migrations/versions``: an index at it needs no look at the others.
NEWEST: Final = "third"
