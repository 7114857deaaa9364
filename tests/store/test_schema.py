"""The schema: made from nothing, brought up to date after a backup, or left alone."""

from __future__ import annotations

import io
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from finishing.cure.work import StepEntry
from finishing.store import Location, Store, check, entries, schema
from finishing.store.tables import Base
from tests.store.conftest import NOW, begin

NEXT = """
import sqlalchemy as sa
from alembic import op
revision, down_revision = "0004", "0003"
def upgrade():
    with op.batch_alter_table("batch") as batch:
        batch.add_column(sa.Column("colour", sa.Text(), nullable=False, server_default=""))
        batch.drop_column("note")
"""


def test_the_constant_is_the_newest_migration() -> None:
    script = ScriptDirectory.from_config(schema.migrations())
    assert script.get_current_head() == schema.HEAD
    assert schema.HEAD in schema.known()


def test_the_migrations_make_what_the_tables_say(store: Store) -> None:
    options = {"compare_type": True, "compare_server_default": True, "target_metadata": Base.metadata}
    with store.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection, opts=options), Base.metadata) == []


@pytest.mark.sqlite_only
def test_readings_have_no_hidden_key(store: Store) -> None:
    with store.read() as r:
        made = r.connection.exec_driver_sql("SELECT sql FROM sqlite_master WHERE name = 'reading'").scalar_one()
    assert "WITHOUT ROWID" in made


@pytest.mark.sqlite_only
def test_a_file_up_to_date_needs_no_alembic(store: Store) -> None:
    code = (
        "import sys, pathlib\n"
        "from finishing.store import Store, at_file, batches\n"
        "with Store.open(at_file(pathlib.Path(sys.argv[1])), 490000.0) as store, store.read() as r:\n"
        "    batches.open_batches(r)\n"
        "print([m for m in ('alembic', 'textual', 'scipy', 'pandas') if m in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(store.location.file)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


@pytest.fixture
def newer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The program of tomorrow: one more migration, which rebuilds a table that others refer to."""
    folder = tmp_path / "100% migrations"
    shutil.copytree(Path(schema.__file__).with_name("migrations"), folder)
    (folder / "versions" / "r0004_next.py").write_text(NEXT, encoding="utf-8")

    def migrations() -> Config:
        config = Config()
        config.set_main_option("script_location", str(folder).replace("%", "%%"))
        return config

    monkeypatch.setattr(schema, "migrations", migrations)
    monkeypatch.setattr(schema, "HEAD", "0004")
    return folder


@pytest.fixture
def older(location: Location) -> Location:
    """A file of today with a batch and an entry."""
    with Store.open(location, NOW) as store:
        batch_id = begin(store, "B1")
        with store.write() as w:
            entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
            w.commit()
    return location


def ask(file: Path, query: str) -> list[tuple[object, ...]]:
    """Rows, past the program."""
    with closing(sqlite3.connect(file)) as plain:
        return plain.execute(query).fetchall()


@pytest.mark.sqlite_only
def test_an_older_file_is_backed_up_and_brought_up_to_date(older: Location, newer: Path) -> None:
    assert older.file is not None
    woods = ask(older.file, "SELECT * FROM batch_wood")
    with Store.open(older, NOW) as store:
        assert check(store) == []
        with store.read() as r:
            assert r.connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    assert ask(older.file, "SELECT version_num FROM alembic_version") == [("0004",)]
    assert ask(older.file, "SELECT code, colour FROM batch") == [("B1", "")]
    assert ask(older.file, "SELECT * FROM batch_wood") == woods  # a rebuilt parent table must not take these along
    assert ask(older.file, "SELECT batch_id, step FROM entry") == [(1, 0)]

    [kept] = (older.home / "backups").iterdir()
    assert kept.name == "finishing-20251124T161500Z-before-0004.db"
    assert ask(kept, "SELECT version_num FROM alembic_version") == [("0003",)]
    assert ask(kept, "SELECT note FROM batch") == [("",)]


@pytest.mark.sqlite_only
def test_a_migration_that_fails_leaves_all_as_it_was(older: Location, newer: Path) -> None:
    assert older.file is not None
    script = newer / "versions" / "r0004_next.py"
    script.write_text(NEXT + "    op.execute('INSERT INTO nowhere VALUES (1)')\n", encoding="utf-8")
    before = ask(older.file, "SELECT * FROM sqlite_master"), ask(older.file, "SELECT * FROM batch")
    with pytest.raises(Exception, match="nowhere"):
        Store.open(older, NOW)
    assert (ask(older.file, "SELECT * FROM sqlite_master"), ask(older.file, "SELECT * FROM batch")) == before
    assert len(list((older.home / "backups").iterdir())) == 1


@pytest.mark.sqlite_only
def test_several_programs_may_start_at_once_on_nothing(location: Location) -> None:
    code = (
        "import sys, pathlib\n"
        "from finishing.store import Store, at_file, check\n"
        "print('ready', flush=True); sys.stdin.readline()\n"
        "with Store.open(at_file(pathlib.Path(sys.argv[1])), 490000.0) as store:\n"
        "    print(check(store))\n"
    )
    arguments = [sys.executable, "-c", code, str(location.file)]
    started = [
        subprocess.Popen(arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(3)
    ]
    for process in started:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
    said = [process.communicate("go\n") for process in started]
    assert said == [("[]\n", "")] * 3


def test_the_migrations_have_a_postgresql_form() -> None:
    config = schema.migrations()
    config.attributes["dialect"] = "postgresql"
    config.output_buffer = written = io.StringIO()
    command.upgrade(config, "head", sql=True)
    sql = written.getvalue()
    assert "BEFORE UPDATE OR DELETE OR TRUNCATE ON entry" in sql
    assert "TIMESTAMP WITH TIME ZONE" in sql
    assert "WITHOUT ROWID" not in sql
