"""The first schema."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "first"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables. Spelled out: a later change of the schema must not change this step."""
    text, number = sa.Text(), sa.Float()
    op.create_table(
        "files",
        sa.Column("path", text, primary_key=True),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("modified_ns", sa.BigInteger(), nullable=False),
        sa.Column("sitting", sa.String(32)),
        sa.Column("trials", sa.Integer(), nullable=False),
        sa.Column("trouble", text),
    )
    op.create_table("vaulters", sa.Column("name", text, primary_key=True))
    op.create_table(
        "boards",
        sa.Column("id", text, primary_key=True),
        sa.Column("cells", sa.Integer(), nullable=False),
    )
    op.create_table(
        "levels",
        sa.Column("hash", sa.String(64), primary_key=True),
        *(sa.Column(name, text, nullable=False) for name in ("id", "game", "title", "text")),
    )
    op.create_table(
        "sittings",
        sa.Column("id", sa.String(32), primary_key=True),
        sa.Column("vaulter", text, sa.ForeignKey("vaulters.name"), nullable=False),
        sa.Column("board", text, sa.ForeignKey("boards.id"), nullable=False),
        sa.Column("station", text, nullable=False),
        sa.Column("level", sa.String(64), sa.ForeignKey("levels.hash"), nullable=False),
        sa.Column("path", text, nullable=False),
        sa.Column("made", text, nullable=False),
        sa.Column("made_s", number),
        sa.Column("version", text, nullable=False),
    )
    op.create_index("sittings_by_vaulter", "sittings", ["vaulter", "made_s"])
    op.create_index("sittings_by_time", "sittings", ["made_s"])
    op.create_table(
        "trials",
        sa.Column("sitting", sa.String(32), sa.ForeignKey("sittings.id"), primary_key=True),
        sa.Column("number", sa.Integer(), primary_key=True),
        sa.Column("counts", sa.Boolean(), nullable=False),
        sa.Column("why_not", text),
        sa.Column("ended", text, nullable=False),
        sa.Column("mark", number),
        sa.Column("deduction", number),
        sa.Column("reason", text, nullable=False),
        sa.Column("step_offs", sa.Integer()),
        *(sa.Column(name, number) for name in ("off_board_s", "lost_s", "body_n", "rate_hz")),
        sa.Column("filter", text),
        sa.Column("seconds", number),
        *(sa.Column(name, text) for name in ("base", "stance", "eyes", "feedback")),
        sa.Column("parts", sa.JSON(), nullable=False),
        sa.Column("measures", sa.JSON(), nullable=False),
    )
    op.create_index("trials_by_counting", "trials", ["sitting", "counts"])
