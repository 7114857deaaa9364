"""Alembic's migrations, run by `finishing.store.schema`."""
