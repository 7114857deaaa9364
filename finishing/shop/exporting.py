"""Everything on record out to CSV or JSON, and back into an empty shop, row by row the same."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import finishing
from finishing.clock import iso
from finishing.errors import BadFile, BadInput
from finishing.exchange.files import write_private, writing
from finishing.exchange.tables import Column, Row, Shape, read_csv, rows_of, write_csv, write_json
from finishing.shop import beside
from finishing.shop.shop import Shop
from finishing.store import rows as stored
from finishing.store.schema import HEAD
from finishing.store.work import Reader

FORMATS = ("csv", "json")
ABOUT, OWN = "about.json", "own"
"""In a folder of CSV files: what wrote them, the version of the tables, how many rows each has; and the folder of the
maker's own finishes, schedules and woods."""

TOLD_EVERY = 500

BEGINS = b'{"program": "finishing"'


def shapes(layout: str = HEAD) -> dict[str, Shape]:
    """Columns of every table that a layout has, those that others point at first."""
    return {name: tuple(Column(*column) for column in columns) for name, columns in stored.shapes(layout).items()}


def export(
    shop: Shop, target: Path, form: str, now: float, progress: Callable[[int, int], None] | None = None
) -> dict[str, int]:
    """Write every table as it stands at one moment: a new folder of CSV files, or one JSON file. Rows by table.

    BadInput where something stands there already (but an older export of the same kind of file), or nothing can be put.
    progress: called with rows written and in all; what it raises stops the work with nothing there.
    """
    about = {"program": "finishing", "version": finishing.__version__, "schema": HEAD, "exported_at": iso(now, "UTC")}
    files = beside.own_files(shop.home)
    with shop.store.read() as r:
        told = _Told(sum(stored.count_of(r, name) for name in shapes()), progress) if progress else None
        if form == "json":
            held = {OWN: {path: _text(path, body) for path, body in files.items()}}
            with writing(target, "file", BEGINS) as out:
                return write_json(out, {**about, **held}, shapes(), lambda name: _rows(r, name, told))
        with _new_folder(target) as folder:
            counts = {
                name: _csv(_rows(r, name, told), folder / f"{name}.csv", shape) for name, shape in shapes().items()
            }
            for path, body in files.items():
                (folder / OWN / path).parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                write_private(folder / OWN / path, body, "folder")
            body = json.dumps({**about, OWN: sorted(files), "tables": counts}, indent=2).encode()
            write_private(folder / ABOUT, body + b"\n", "folder")
    return counts


def _text(path: str, body: bytes) -> str:
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadFile(path, "is not UTF-8 text", "save it as UTF-8, or export to a folder") from error


@dataclass(slots=True)
class _Told:
    """Rows counted as they pass, and told."""

    total: int
    progress: Callable[[int, int], None]
    done: int = 0

    def one(self) -> None:
        """One more."""
        self.done += 1
        if self.done % TOLD_EVERY == 0 or self.done == self.total:
            self.progress(self.done, self.total)


def _rows(r: Reader, name: str, told: _Told | None) -> Iterator[Row]:
    for row in stored.rows_of(r, name):
        yield row
        if told is not None:
            told.one()


def _csv(rows: Iterator[Row], file: Path, shape: Shape) -> int:
    with writing(file, "folder") as out:
        return write_csv(out, shape, rows)


@contextmanager
def _new_folder(target: Path) -> Iterator[Path]:
    """A folder that is there, whole, once all went well."""
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise BadInput("folder", str(target), "a new or empty folder")
    part = target.with_name(f".{target.name}.part")
    try:
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir(mode=0o700)
        yield part
        if target.exists():
            target.rmdir()
        os.replace(part, target)
    except OSError as error:
        raise BadInput("folder", str(target), f"a folder that can be made there ({error.strerror})") from error
    finally:
        shutil.rmtree(part, ignore_errors=True)


def bring_in(shop: Shop, source: Path) -> dict[str, int]:
    """Put an export, of this layout or an older one, into an empty shop, all of it or nothing. Rows by table.

    BadFile for what is no whole export of these tables; BadInput where something is on record already, or one of the
    maker's own files is there and other.
    """
    if not source.exists():
        raise BadInput("source", str(source), "a folder or file written by finishing export")
    wanted: Mapping[str, int] | None = None
    if source.is_dir():
        about = _json(source / ABOUT)
        wanted, there = about.get("tables"), _shapes(source.name, about)
        missing = [name for name in there if not (source / f"{name}.csv").is_file()]
        if missing:
            raise BadFile(source.name, f"{missing[0]}.csv is not in it")
        tables = {name: read_csv(source / f"{name}.csv", shape) for name, shape in there.items()}
        files = _files(source, about.get(OWN, []))
    else:
        about = _json(source)
        held = about.get("tables")
        if not isinstance(held, dict):
            raise BadFile(source.name, "no tables in it")
        there = _shapes(source.name, about)
        tables = {name: rows_of(source.name, held, name, shape) for name, shape in there.items()}
        files = _bodies(source.name, about.get(OWN, {}))
    return _put(shop, source.name, tables, wanted, beside.checked(source.name, files))


def _files(source: Path, paths: object) -> dict[str, bytes]:
    """The maker's own files in a folder that was exported."""
    if not isinstance(paths, list) or not all(isinstance(path, str) for path in paths):
        raise BadFile(f"{source.name}/{ABOUT}, {OWN}", "not a list of files")
    beside.checked(source.name, dict.fromkeys(paths, b""))
    present = beside.own_files(source / OWN)
    for path in paths:
        if path not in present:
            raise BadFile(source.name, f"{OWN}/{path} is not in it")
    return {path: present[path] for path in paths}


def _bodies(where: str, held: object) -> dict[str, bytes]:
    """The same in a JSON file."""
    if not isinstance(held, dict) or not all(isinstance(text, str) for text in held.values()):
        raise BadFile(f"{where}, {OWN}", "not files by name")
    return {path: text.encode("utf-8", "replace") for path, text in held.items()}


def _put(
    shop: Shop,
    where: str,
    tables: Mapping[str, Iterator[Row]],
    wanted: Mapping[str, int] | None,
    files: Mapping[str, bytes],
) -> dict[str, int]:
    there = beside.own_files(shop.home)
    new = beside.others(shop.home, files)
    if taken := [path for path in new if path in there]:
        hint = "move it away, or into another FINISHING_HOME"
        raise BadInput("own file", taken[0], "one that is not there yet, or is the same there", hint)
    with shop.store.write() as w, ExitStack() as failed:
        counts = stored.put_all(w, tables)
        if wanted is not None and dict(wanted) != counts:
            off = next(name for name in counts if wanted.get(name) != counts[name])
            raise BadFile(where, f"{off} has {counts[off]} rows instead of {wanted.get(off)}", "export it anew")
        for path in new:
            failed.callback((shop.home / path).unlink, missing_ok=True)
            beside.put_back(shop.home, files, [path])
        w.commit()
        failed.pop_all()
    shop.forget()
    return counts


def _shapes(where: str, about: Mapping[str, Any]) -> dict[str, Shape]:
    """The tables that an export must have."""
    if about.get("program") != "finishing":
        raise BadFile(where, "not written by finishing export")
    layout = about.get("schema")
    if not isinstance(layout, str) or layout not in stored.SINCE:
        hint = "take it in with the version that wrote it, or a newer one"
        raise BadFile(where, f"its tables are of version {layout}, and those known here end with {HEAD}", hint)
    return shapes(layout)


def _json(path: Path) -> dict[str, Any]:
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise BadFile(path.name, f"can't be read as JSON: {error}") from error
    if not isinstance(found, dict):
        raise BadFile(path.name, "not written by finishing export")
    return found
