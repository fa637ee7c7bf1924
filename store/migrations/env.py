"""Runs the migrations on the connection, and inside the transaction, that `store.versions.migrate` gives."""

from __future__ import annotations

from alembic import context

from store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
