"""Records of the site and their photos: only ever added to."""

import sqlalchemy as sa
from alembic import op

from innerleaf.store.tables import guards

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the tables, and have the database refuse to change them."""
    op.create_table(
        "site_record",
        sa.Column("document", sa.String(32), nullable=False),
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("entry", sa.String(64), nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.ForeignKeyConstraint(["document"], ["document.id"], name=op.f("fk_site_record_document")),
        sa.PrimaryKeyConstraint("document", "number", name=op.f("pk_site_record")),
        sa.UniqueConstraint("document", "id", name=op.f("uq_site_record_document")),
    )
    op.create_table(
        "site_photo",
        sa.Column("document", sa.String(32), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("media", sa.String(40), nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.ForeignKeyConstraint(["document"], ["document.id"], name=op.f("fk_site_photo_document")),
        sa.PrimaryKeyConstraint("document", "digest", name=op.f("pk_site_photo")),
    )
    for statement in guards(op.get_bind().dialect.name, ("site_record", "site_photo")):
        op.execute(statement)
