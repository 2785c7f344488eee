"""The tables. Revisions, asides and records of the site are only added to: the database refuses the rest."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)


class UtcDateTime(TypeDecorator[datetime]):
    """An instant; SQLite alone would give it back without its zone."""

    impl, cache_ok = DateTime(timezone=True), True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """To the database."""
        return value and value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """From the database."""
        return value and (value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC))


# Names of constraints are the same on every database, so that migrations can speak of them.
METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

DOCUMENT = Table(
    "document",
    METADATA,
    Column("id", String(32), primary_key=True),
    Column("kind", String(16), nullable=False),
    Column("name", String(200), nullable=False),
    Column("owner", String(32), nullable=False),
    Column("head", Integer, nullable=False),
    UniqueConstraint("owner", "kind", "name"),
    CheckConstraint("head >= 1", name="head"),
)

REVISION = Table(
    "revision",
    METADATA,
    Column("document", ForeignKey("document.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("saved_at", UtcDateTime, nullable=False),
    Column("who", String(200), nullable=False),
    Column("what", Text, nullable=False),
    Column("back_to", Integer, nullable=False),
    Column("text", Text, nullable=False),
    Column("digest", String(64), nullable=False),
)

ASIDE = Table(
    "aside",
    METADATA,
    Column("document", ForeignKey("document.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("base", Integer, nullable=False),
    Column("saved_at", UtcDateTime, nullable=False),
    Column("who", String(200), nullable=False),
    Column("what", Text, nullable=False),
    Column("text", Text, nullable=False),
)

SITE_RECORD = Table(
    "site_record",
    METADATA,
    Column("document", ForeignKey("document.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("id", String(36), nullable=False),
    Column("entry", String(64), nullable=False),
    Column("text", Text, nullable=False),
    Column("digest", String(64), nullable=False),
    UniqueConstraint("document", "id"),
)

SITE_PHOTO = Table(
    "site_photo",
    METADATA,
    Column("document", ForeignKey("document.id"), primary_key=True),
    Column("digest", String(64), primary_key=True),
    Column("media", String(40), nullable=False),
    Column("content", LargeBinary, nullable=False),
)

RUN = Table(
    "run",
    METADATA,
    Column("id", String(32), primary_key=True),
    Column("document", ForeignKey("document.id"), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("subject", String(200), nullable=False),
    Column("who", String(200), nullable=False),
    Column("asked_at", UtcDateTime, nullable=False),
    Column("state", String(16), nullable=False),
    Column("doing", String(200), nullable=False),
    Column("done", Integer, nullable=False),
    Column("of", Integer, nullable=False),
    Column("stop_asked", Boolean, nullable=False),
    Column("sign_at", UtcDateTime),
    Column("error", Text, nullable=False),
    Index(None, "document"),
    Index("ix_run_state", "state"),
)

PERSON = Table(
    "person",
    METADATA,
    Column("id", String(32), primary_key=True),
    Column("name", String(80), nullable=False),
    Column("key", String(160), nullable=False, unique=True),
    Column("role", String(16), nullable=False),
    Column("active", Boolean, nullable=False),
    Column("password", String(300), nullable=False),
)

INVITE = Table(
    "invite",
    METADATA,
    Column("digest", String(64), primary_key=True),
    Column("role", String(16), nullable=False),
    Column("made_by", String(200), nullable=False),
    Column("until", UtcDateTime, nullable=False),
    Column("used", Boolean, nullable=False),
)

SESSION = Table(
    "session",
    METADATA,
    Column("digest", String(64), primary_key=True),
    Column("person", ForeignKey("person.id"), nullable=False),
    Column("begun_at", UtcDateTime, nullable=False),
    Column("seen_at", UtcDateTime, nullable=False),
)

GUESS = Table(
    "guess",
    METADATA,
    Column("id", String(32), primary_key=True),
    Column("key", String(160), nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Index(None, "key"),
)


def guards(dialect: str, tables: Sequence[str]) -> tuple[str, ...]:
    """Statements after which some tables are only added to: they take no change and give nothing up."""
    if dialect == "sqlite":
        return tuple(
            f"CREATE TRIGGER {table}_no_{event.lower()} BEFORE {event} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is only added to'); END"
            for table in tables
            for event in ("UPDATE", "DELETE")
        )
    function = (
        "CREATE OR REPLACE FUNCTION only_added_to() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION '% is only added to', TG_TABLE_NAME; END $$"
    )
    return (
        function,
        *(
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION only_added_to()"
            for table in tables
        ),
    )
