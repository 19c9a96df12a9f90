"""The hall's list of erased persons."""

import sqlalchemy as sa
from alembic import op

revision = "third"
down_revision = "second"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add it."""
    op.create_table(
        "erased",
        sa.Column("salt", sa.String(64), primary_key=True),
        sa.Column("hash", sa.String(128), primary_key=True),
    )
