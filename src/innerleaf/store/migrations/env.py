"""Run by the migration library: on the connection that is handed in, and on no other."""

from alembic import context

from innerleaf.store.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,  # SQLite cannot alter a column otherwise
)
context.run_migrations()
