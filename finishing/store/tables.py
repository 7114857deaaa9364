"""The tables. Other modules query them; nothing here does anything.

Annotations are read at run time, so this module has no postponed annotations. Tables that only grow (entry, frozen,
reading, place_usual, outlook_day, lesson, leaving, left_reading) are guarded by triggers that the migrations make; a
reading may go where the same one stands in left_reading.
"""

import datetime as dt
from typing import Any

from sqlalchemy import BigInteger, CheckConstraint, Index, MetaData, Table, Text, UniqueConstraint, text
from sqlmodel import Field, SQLModel

from finishing.store.types import UTC, JsonText

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(SQLModel):
    """What all tables share: named constraints, without which SQLite can't alter a table later."""

    metadata = MetaData(naming_convention=NAMING)


class SettingTable(Base, table=True):
    """One setting, by key."""

    __tablename__ = "setting"

    key: str = Field(primary_key=True, sa_type=Text)
    value: Any = Field(sa_type=JsonText, nullable=False)
    updated_at: dt.datetime = Field(sa_type=UTC)


class PlaceTable(Base, table=True):
    """Where pieces dry. name_key: the name folded, so that names differ in more than case."""

    __tablename__ = "place"
    __table_args__ = (UniqueConstraint("name_key"),)

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(sa_type=Text)
    name_key: str = Field(sa_type=Text)
    rack_pieces: int | None = None
    created_at: dt.datetime = Field(sa_type=UTC)


class PlaceUsualTable(Base, table=True):
    """A place's usual day; the latest holds."""

    __tablename__ = "place_usual"
    __table_args__ = (Index(None, "place_id", "id"),)

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    low_c: float
    high_c: float
    humidity_at_low: float
    humidity_at_high: float
    entered_at: dt.datetime = Field(sa_type=UTC)


class OutlookDayTable(Base, table=True):
    """What is expected of one day at a place; the latest for a date holds."""

    __tablename__ = "outlook_day"
    __table_args__ = (Index(None, "place_id", "date", "id"),)

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    date: dt.date
    low_c: float
    high_c: float
    humidity_pct: float | None = None
    entered_at: dt.datetime = Field(sa_type=UTC)


class ReadingTable(Base, table=True):
    """One reading at a place. at: seconds since the epoch, so that a year of them is read in a blink."""

    __tablename__ = "reading"
    __table_args__ = {"sqlite_with_rowid": False}

    place_id: int = Field(primary_key=True, foreign_key="place.id")
    at: int = Field(primary_key=True, sa_type=BigInteger)
    temperature_c: float
    humidity_pct: float | None = None


class LogImportTable(Base, table=True):
    """A logger's file that was read in: how many rows it had, how many were new."""

    __tablename__ = "log_import"
    __table_args__ = (Index(None, "place_id"), Index(None, "sha256"))

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    file_name: str = Field(sa_type=Text)
    sha256: str = Field(sa_type=Text)
    rows: int
    added: int
    imported_at: dt.datetime = Field(sa_type=UTC)


class LeavingTable(Base, table=True):
    """Readings taken out of use, or (voids) put back.

    first_at, last_at: epoch seconds of the readings, and how many they are; put back: those whose second was free.
    """

    __tablename__ = "leaving"
    __table_args__ = (Index(None, "place_id"), Index(None, "voids"), {"sqlite_autoincrement": True})

    id: int | None = Field(default=None, primary_key=True)
    place_id: int = Field(foreign_key="place.id")
    file_name: str = Field(default="", sa_type=Text)
    first_at: int = Field(sa_type=BigInteger)
    last_at: int = Field(sa_type=BigInteger)
    readings: int
    voids: int | None = Field(default=None, foreign_key="leaving.id")
    recorded_at: dt.datetime = Field(sa_type=UTC)
    maker: str = Field(default="", sa_type=Text)
    note: str = Field(default="", sa_type=Text)


class LeftReadingTable(Base, table=True):
    """A reading taken out of use, as it was."""

    __tablename__ = "left_reading"
    __table_args__ = {"sqlite_with_rowid": False}

    place_id: int = Field(primary_key=True, foreign_key="place.id")
    at: int = Field(primary_key=True, sa_type=BigInteger)
    leaving_id: int = Field(primary_key=True, foreign_key="leaving.id")
    temperature_c: float
    humidity_pct: float | None = None


class FrozenTable(Base, table=True):
    """A schedule with its finishes and woods as they were; shared by all batches that began with them."""

    __tablename__ = "frozen"

    key: str = Field(primary_key=True, sa_type=Text)
    body: str = Field(sa_type=Text)


class BatchTable(Base, table=True):
    """Pieces finished together. closed_at and held repeat what the entries say, to find open batches at once."""

    __tablename__ = "batch"
    __table_args__ = (
        UniqueConstraint("code"),
        CheckConstraint("pieces > 0", name="pieces"),
        Index(None, "closed_at"),
        Index(None, "frozen_key"),
        Index(None, "place_id"),
        Index(
            "ix_batch_open",
            "code",
            # The migration says the same to PostgreSQL; said here, it would import that whole dialect every time.
            sqlite_where=text("closed_at IS NULL"),
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    code: str = Field(sa_type=Text)
    what: str = Field(sa_type=Text)
    pieces: int
    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float | None = None
    shape: str = Field(sa_type=Text)
    schedule: str = Field(sa_type=Text)
    frozen_key: str = Field(foreign_key="frozen.key", sa_type=Text)
    place_id: int = Field(foreign_key="place.id")
    wanted_by: dt.datetime | None = Field(default=None, sa_type=UTC)
    priority: int = 0
    note: str = Field(default="", sa_type=Text)
    created_at: dt.datetime = Field(sa_type=UTC)
    closed_at: dt.datetime | None = Field(default=None, sa_type=UTC)
    held: bool = False


class BatchWoodTable(Base, table=True):
    """One wood of a batch and its share; the first position is the main one."""

    __tablename__ = "batch_wood"

    batch_id: int = Field(primary_key=True, foreign_key="batch.id")
    position: int = Field(primary_key=True)
    species: str = Field(sa_type=Text)
    share: float


class CanTable(Base, table=True):
    """A container of a finish. price: in the shop's currency, for the whole can."""

    __tablename__ = "can"
    __table_args__ = (
        CheckConstraint("volume_ml > 0", name="volume"),
        Index(None, "finish", "emptied_at"),
        Index(None, "lot"),
    )

    id: int | None = Field(default=None, primary_key=True)
    finish: str = Field(sa_type=Text)
    lot: str = Field(default="", sa_type=Text)
    volume_ml: float
    price: float | None = None
    bought_on: dt.date | None = None
    opened_on: dt.date | None = None
    use_within_days: int | None = None
    note: str = Field(default="", sa_type=Text)
    created_at: dt.datetime = Field(sa_type=UTC)
    emptied_at: dt.datetime | None = Field(default=None, sa_type=UTC)


class EntryTable(Base, table=True):
    """One line of the record; id is its number. at: when it happened; recorded_at: when it was written down."""

    __tablename__ = "entry"
    __table_args__ = (
        Index(None, "batch_id"),
        Index(None, "kind", "batch_id"),
        Index(None, "voids"),
        Index(None, "can_id"),
        {"sqlite_autoincrement": True},
    )

    id: int | None = Field(default=None, primary_key=True)
    batch_id: int = Field(foreign_key="batch.id")
    kind: str = Field(sa_type=Text)
    at: dt.datetime = Field(sa_type=UTC)
    recorded_at: dt.datetime = Field(sa_type=UTC)
    step: int | None = None
    body: dict[str, Any] = Field(sa_type=JsonText)
    voids: int | None = Field(default=None, foreign_key="entry.id")
    maker: str = Field(default="", sa_type=Text)
    can_id: int | None = Field(default=None, foreign_key="can.id")
    amount_ml: float | None = None


class LessonTable(Base, table=True):
    """The maker's word on learning: a test left out, or a finish's tests up to an hour forgotten; or one of these void.

    kind: "exclude" (entry_id names the test), "reset" (finish, at) or "void" (voids names the lesson).
    """

    __tablename__ = "lesson"
    __table_args__ = (Index(None, "entry_id"), Index(None, "voids"), {"sqlite_autoincrement": True})

    id: int | None = Field(default=None, primary_key=True)
    kind: str = Field(sa_type=Text)
    finish: str = Field(default="", sa_type=Text)
    entry_id: int | None = Field(default=None, foreign_key="entry.id")
    voids: int | None = Field(default=None, foreign_key="lesson.id")
    at: dt.datetime = Field(sa_type=UTC)
    recorded_at: dt.datetime = Field(sa_type=UTC)
    maker: str = Field(default="", sa_type=Text)
    note: str = Field(default="", sa_type=Text)


def _table(name: str) -> Table:
    return Base.metadata.tables[name]


SETTING, PLACE, PLACE_USUAL = _table("setting"), _table("place"), _table("place_usual")
OUTLOOK_DAY, READING, LOG_IMPORT = _table("outlook_day"), _table("reading"), _table("log_import")
FROZEN, BATCH, BATCH_WOOD = _table("frozen"), _table("batch"), _table("batch_wood")
CAN, ENTRY, LESSON = _table("can"), _table("entry"), _table("lesson")
LEAVING, LEFT_READING = _table("leaving"), _table("left_reading")
