"""Runs the migrations on the connection it is given; or, without one, writes their SQL for a named dialect."""

from typing import Any

from alembic import context
from sqlalchemy import Connection

from finishing.store.tables import Base


def settings(dialect: str) -> dict[str, Any]:
    """SQLite can't alter much in place, so its tables are rebuilt; its DDL is transactional as we begin it."""
    is_sqlite = dialect == "sqlite"
    return {"target_metadata": Base.metadata, "render_as_batch": is_sqlite, "transactional_ddl": True}


connection: Connection | None = context.config.attributes.get("connection")
if connection is not None:
    context.configure(connection=connection, **settings(connection.dialect.name))
else:
    named = context.config.attributes["dialect"]
    context.configure(dialect_name=named, literal_binds=True, **settings(named))
with context.begin_transaction():
    context.run_migrations()
