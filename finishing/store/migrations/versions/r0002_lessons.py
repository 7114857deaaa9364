"""What the maker says of the learning from touch tests: a table that only grows."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

REFUSAL = "the record only grows"


def upgrade() -> None:
    """To 0002."""
    op.create_table(
        "lesson",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("finish", sa.Text(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=True),
        sa.Column("voids", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_lesson"),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name="fk_lesson_entry_id_entry"),
        sa.ForeignKeyConstraint(["voids"], ["lesson.id"], name="fk_lesson_voids_lesson"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_lesson_entry_id", "lesson", ["entry_id"])
    op.create_index("ix_lesson_voids", "lesson", ["voids"])
    _only_grows()


def downgrade() -> None:
    """Not offered: the backup taken before a migration is the way back."""
    raise NotImplementedError


def _only_grows() -> None:
    """Refuse every change and deletion of a row, whoever asks; the first migration made the server's function."""
    if op.get_context().dialect.name == "sqlite":
        for action in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER lesson_no_{action.lower()} BEFORE {action} ON lesson"
                f" BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            )
        return
    op.execute(
        "CREATE TRIGGER lesson_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON lesson"
        " FOR EACH STATEMENT EXECUTE FUNCTION only_grows()"
    )
