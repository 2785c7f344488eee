"""Documents, their revisions, and versions that came too late."""

import sqlalchemy as sa
from alembic import op

from innerleaf.store.tables import UtcDateTime, guards

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables, and have the database refuse to change what is only added to."""
    op.create_table(
        "document",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("owner", sa.String(32), nullable=False),
        sa.Column("head", sa.Integer, nullable=False),
        sa.CheckConstraint("head >= 1", name=op.f("ck_document_head")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_document")),
        sa.UniqueConstraint("owner", "kind", "name", name=op.f("uq_document_owner")),
    )
    op.create_table(
        "revision",
        sa.Column("document", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("saved_at", UtcDateTime, nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("back_to", sa.Integer, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(["document"], ["document.id"], name=op.f("fk_revision_document")),
        sa.PrimaryKeyConstraint("document", "number", name=op.f("pk_revision")),
    )
    op.create_table(
        "aside",
        sa.Column("document", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("base", sa.Integer, nullable=False),
        sa.Column("saved_at", UtcDateTime, nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.ForeignKeyConstraint(["document"], ["document.id"], name=op.f("fk_aside_document")),
        sa.PrimaryKeyConstraint("document", "number", name=op.f("pk_aside")),
    )
    for statement in guards(op.get_bind().dialect.name, ("revision", "aside")):
        op.execute(statement)
