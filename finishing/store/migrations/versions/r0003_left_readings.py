"""Readings of a wrong log may be left out: moved, never deleted, to a table that only grows as the other."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

REFUSAL = "the record only grows"

STANDS = (
    "SELECT 1 FROM left_reading l WHERE l.place_id = {gone}.place_id AND l.at = {gone}.at"
    " AND l.temperature_c = {gone}.temperature_c AND {same_humidity}"
    " AND NOT EXISTS (SELECT 1 FROM leaving v WHERE v.voids = l.leaving_id)"
)
"""Whether the very same reading stands among those left out, and was not put back."""


def upgrade() -> None:
    """To 0003."""
    _tables()
    on_sqlite = op.get_context().dialect.name == "sqlite"
    for table in ("leaving", "left_reading"):
        (_only_grows_on_sqlite if on_sqlite else _only_grows_on_a_server)(table)
    (_leaving_out_on_sqlite if on_sqlite else _leaving_out_on_a_server)()


def downgrade() -> None:
    """Not offered: the backup taken before a migration is the way back."""
    raise NotImplementedError


def _tables() -> None:
    op.create_table(
        "leaving",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place_id", sa.Integer(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("first_at", sa.BigInteger(), nullable=False),
        sa.Column("last_at", sa.BigInteger(), nullable=False),
        sa.Column("readings", sa.Integer(), nullable=False),
        sa.Column("voids", sa.Integer(), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_leaving"),
        sa.ForeignKeyConstraint(["place_id"], ["place.id"], name="fk_leaving_place_id_place"),
        sa.ForeignKeyConstraint(["voids"], ["leaving.id"], name="fk_leaving_voids_leaving"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_leaving_place_id", "leaving", ["place_id"])
    op.create_index("ix_leaving_voids", "leaving", ["voids"])
    op.create_table(
        "left_reading",
        sa.Column("place_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("leaving_id", sa.Integer(), nullable=False),
        sa.Column("temperature_c", sa.Float(), nullable=False),
        sa.Column("humidity_pct", sa.Float(), nullable=True),
        sa.PrimaryKeyConstraint("place_id", "at", "leaving_id", name="pk_left_reading"),
        sa.ForeignKeyConstraint(["place_id"], ["place.id"], name="fk_left_reading_place_id_place"),
        sa.ForeignKeyConstraint(["leaving_id"], ["leaving.id"], name="fk_left_reading_leaving_id_leaving"),
        sqlite_with_rowid=False,
    )


def _only_grows_on_sqlite(table: str) -> None:
    for action in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table}"
            f" BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
        )


def _only_grows_on_a_server(table: str) -> None:
    """The first migration made the function."""
    op.execute(
        f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}"
        " FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
    )


def _leaving_out_on_sqlite() -> None:
    stands = STANDS.format(gone="OLD", same_humidity="l.humidity_pct IS OLD.humidity_pct")
    op.execute("DROP TRIGGER reading_no_delete")
    op.execute(
        f"CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading WHEN NOT EXISTS ({stands})"
        f" BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
    )


def _leaving_out_on_a_server() -> None:
    """Once a statement and not for each row: a log may have a million."""
    stands = STANDS.format(gone="gone", same_humidity="l.humidity_pct IS NOT DISTINCT FROM gone.humidity_pct")
    op.execute("DROP TRIGGER reading_only_grows ON reading")
    op.execute(
        "CREATE TRIGGER reading_only_grows BEFORE UPDATE OR TRUNCATE ON reading"
        " FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
    )
    op.execute(
        "CREATE OR REPLACE FUNCTION only_left_out() RETURNS trigger LANGUAGE plpgsql AS"
        f" $$ BEGIN IF EXISTS (SELECT 1 FROM gone WHERE NOT EXISTS ({stands}))"
        f" THEN RAISE EXCEPTION '{REFUSAL}'; END IF; RETURN NULL; END $$"
    )
    op.execute(
        "CREATE TRIGGER reading_only_left_out AFTER DELETE ON reading REFERENCING OLD TABLE AS gone"
        " FOR EACH STATEMENT EXECUTE FUNCTION only_left_out()"
    )
