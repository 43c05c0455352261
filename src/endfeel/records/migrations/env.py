"""Run by Alembic with a connection already open."""

from alembic import context

from endfeel.records.tables import Table

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Table.metadata, render_as_batch=True, compare_type=True)
with context.begin_transaction():
    context.run_migrations()
