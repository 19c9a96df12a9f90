"""Whether a trial's terms are known, and what was reckoned from a vaulter's trials."""

import sqlalchemy as sa
from alembic import op

revision = "second"
down_revision = "first"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add both. All recordings are read again: what is known is told by them alone."""
    known: sa.Column[bool] = sa.Column(
        "known", sa.Boolean(), nullable=False, server_default=sa.false()
    )
    op.add_column("trials", known)
    op.execute(
        "UPDATE trials SET known = (rate_hz IS NOT NULL AND filter IS NOT NULL AND seconds IS NOT"
        " NULL AND base IS NOT NULL AND stance IS NOT NULL AND eyes IS NOT NULL AND feedback IS NOT"
        " NULL)"
    )
    op.create_table(
        "memos",
        sa.Column("vaulter", sa.Text(), primary_key=True),
        sa.Column("kind", sa.Text(), primary_key=True),
        sa.Column("text", sa.Text(), nullable=False),
    )
    op.execute("DELETE FROM files")
