"""Long work that was asked for."""

import sqlalchemy as sa
from alembic import op

from innerleaf.store.tables import UtcDateTime

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "run",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("document", sa.String(32), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("subject", sa.String(200), nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("asked_at", UtcDateTime, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("doing", sa.String(200), nullable=False),
        sa.Column("done", sa.Integer, nullable=False),
        sa.Column("of", sa.Integer, nullable=False),
        sa.Column("stop_asked", sa.Boolean, nullable=False),
        sa.Column("sign_at", UtcDateTime),
        sa.Column("error", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["document"], ["document.id"], name=op.f("fk_run_document")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run")),
    )
    op.create_index(op.f("ix_run_document"), "run", ["document"])
    op.create_index("ix_run_state", "run", ["state"])
