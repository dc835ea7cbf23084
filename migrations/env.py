"""Runs the migrations on the connection handed in, inside the caller's own transaction."""

from __future__ import annotations

from alembic import context

connection = context.config.attributes["connection"]
if connection is None or not connection.in_transaction():
    raise RuntimeError("Migrations are run by `tarebook upgrade`, inside its transaction.")

context.configure(connection=connection, transactional_ddl=True, transaction_per_migration=False)
# The caller's transaction is open, so alembic neither begins nor commits one here.
with context.begin_transaction():
    context.run_migrations()
