"""People, invitations, sessions, and wrong passwords."""

import sqlalchemy as sa
from alembic import op

from innerleaf.store.tables import UtcDateTime

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "person",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("name", sa.String(80), nullable=False),
        sa.Column("key", sa.String(160), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("password", sa.String(300), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("key", name=op.f("uq_person_key")),
    )
    op.create_table(
        "invite",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("role", sa.String(16), nullable=False),
        sa.Column("made_by", sa.String(200), nullable=False),
        sa.Column("until", UtcDateTime, nullable=False),
        sa.Column("used", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_invite")),
    )
    op.create_table(
        "session",
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("person", sa.String(32), nullable=False),
        sa.Column("begun_at", UtcDateTime, nullable=False),
        sa.Column("seen_at", UtcDateTime, nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person.id"], name=op.f("fk_session_person")),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_session")),
    )
    op.create_table(
        "guess",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("key", sa.String(160), nullable=False),
        sa.Column("at", UtcDateTime, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_guess")),
    )
    op.create_index(op.f("ix_guess_key"), "guess", ["key"])
