"""The first tables, and the triggers that let the record only grow."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

GROWING = ("entry", "frozen", "reading", "place_usual", "outlook_day")
REFUSAL = "the record only grows"


def upgrade() -> None:
    """To 0001."""
    _settings_and_places()
    _air()
    _batches()
    _cans()
    _entries()
    for table in GROWING:
        _only_grows(table)


def downgrade() -> None:
    """Not offered: the backup taken before a migration is the way back."""
    raise NotImplementedError


def _instant(name: str, *, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, sa.DateTime(timezone=True), nullable=nullable)


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False)


def _number(name: str, *, nullable: bool = False) -> sa.Column[float]:
    return sa.Column(name, sa.Float(), nullable=nullable)


def _whole(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=nullable)


def _refers(table: str, column: str, to: str) -> sa.ForeignKeyConstraint:
    parent = to.split(".")[0]
    return sa.ForeignKeyConstraint([column], [to], name=f"fk_{table}_{column}_{parent}")


def _key(table: str, *columns: str) -> sa.PrimaryKeyConstraint:
    return sa.PrimaryKeyConstraint(*columns, name=f"pk_{table}")


def _index(table: str, *columns: str) -> None:
    op.create_index(f"ix_{table}_{'_'.join(columns)}", table, list(columns))


def _settings_and_places() -> None:
    op.create_table("setting", _text("key"), _text("value"), _instant("updated_at"), _key("setting", "key"))
    op.create_table(
        "place",
        _whole("id"),
        _text("name"),
        _text("name_key"),
        _whole("rack_pieces", nullable=True),
        _instant("created_at"),
        _key("place", "id"),
        sa.UniqueConstraint("name_key", name="uq_place_name_key"),
    )


def _air() -> None:
    op.create_table(
        "place_usual",
        _whole("id"),
        _whole("place_id"),
        *[_number(n) for n in ("low_c", "high_c", "humidity_at_low", "humidity_at_high")],
        _instant("entered_at"),
        _key("place_usual", "id"),
        _refers("place_usual", "place_id", "place.id"),
    )
    _index("place_usual", "place_id", "id")
    op.create_table(
        "outlook_day",
        _whole("id"),
        _whole("place_id"),
        sa.Column("date", sa.Date(), nullable=False),
        _number("low_c"),
        _number("high_c"),
        _number("humidity_pct", nullable=True),
        _instant("entered_at"),
        _key("outlook_day", "id"),
        _refers("outlook_day", "place_id", "place.id"),
    )
    _index("outlook_day", "place_id", "date", "id")
    _readings()


def _readings() -> None:
    op.create_table(
        "reading",
        _whole("place_id"),
        sa.Column("at", sa.BigInteger(), nullable=False),
        _number("temperature_c"),
        _number("humidity_pct", nullable=True),
        _key("reading", "place_id", "at"),
        _refers("reading", "place_id", "place.id"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "log_import",
        _whole("id"),
        _whole("place_id"),
        _text("file_name"),
        _text("sha256"),
        _whole("rows"),
        _whole("added"),
        _instant("imported_at"),
        _key("log_import", "id"),
        _refers("log_import", "place_id", "place.id"),
    )
    _index("log_import", "place_id")
    _index("log_import", "sha256")


def _batches() -> None:
    op.create_table("frozen", _text("key"), _text("body"), _key("frozen", "key"))
    op.create_table(
        "batch",
        _whole("id"),
        _text("code"),
        _text("what"),
        _whole("pieces"),
        *[_number(n, nullable=True) for n in ("length_mm", "width_mm", "thickness_mm")],
        *[_text(n) for n in ("shape", "schedule", "frozen_key")],
        _whole("place_id"),
        _instant("wanted_by", nullable=True),
        _whole("priority"),
        _text("note"),
        _instant("created_at"),
        _instant("closed_at", nullable=True),
        sa.Column("held", sa.Boolean(), nullable=False),
        _key("batch", "id"),
        sa.UniqueConstraint("code", name="uq_batch_code"),
        sa.CheckConstraint("pieces > 0", name="ck_batch_pieces"),
        _refers("batch", "frozen_key", "frozen.key"),
        _refers("batch", "place_id", "place.id"),
    )
    for column in ("closed_at", "frozen_key", "place_id"):
        _index("batch", column)
    still_open = sa.text("closed_at IS NULL")
    op.create_index("ix_batch_open", "batch", ["code"], sqlite_where=still_open, postgresql_where=still_open)
    op.create_table(
        "batch_wood",
        _whole("batch_id"),
        _whole("position"),
        _text("species"),
        _number("share"),
        _key("batch_wood", "batch_id", "position"),
        _refers("batch_wood", "batch_id", "batch.id"),
    )


def _cans() -> None:
    op.create_table(
        "can",
        _whole("id"),
        _text("finish"),
        _text("lot"),
        _number("volume_ml"),
        _number("price", nullable=True),
        sa.Column("bought_on", sa.Date(), nullable=True),
        sa.Column("opened_on", sa.Date(), nullable=True),
        _whole("use_within_days", nullable=True),
        _text("note"),
        _instant("created_at"),
        _instant("emptied_at", nullable=True),
        _key("can", "id"),
        sa.CheckConstraint("volume_ml > 0", name="ck_can_volume"),
    )
    _index("can", "finish", "emptied_at")
    _index("can", "lot")


def _entries() -> None:
    op.create_table(
        "entry",
        _whole("id"),
        _whole("batch_id"),
        _text("kind"),
        _instant("at"),
        _instant("recorded_at"),
        _whole("step", nullable=True),
        _text("body"),
        _whole("voids", nullable=True),
        _text("maker"),
        _whole("can_id", nullable=True),
        _number("amount_ml", nullable=True),
        _key("entry", "id"),
        _refers("entry", "batch_id", "batch.id"),
        _refers("entry", "voids", "entry.id"),
        _refers("entry", "can_id", "can.id"),
        sqlite_autoincrement=True,
    )
    for columns in (("batch_id",), ("kind", "batch_id"), ("voids",), ("can_id",)):
        _index("entry", *columns)


def _only_grows(table: str) -> None:
    """Refuse every change and deletion of a row, whoever asks."""
    if op.get_context().dialect.name == "sqlite":
        for action in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table}"
                f" BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            )
        return
    op.execute(
        f"CREATE OR REPLACE FUNCTION only_grows() RETURNS trigger LANGUAGE plpgsql AS"
        f" $$ BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$"
    )
    op.execute(
        f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}"
        " FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
    )
