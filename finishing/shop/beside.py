"""The maker's own finishes, schedules and woods as files, to go along with the record: into backups and exports."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from finishing.errors import BadFile
from finishing.exchange.plain import plain
from finishing.library import Kind
from finishing.library.files import MOST_BYTES, label, reason, write_bytes
from finishing.library.shelf import toml_files

FOLDERS = tuple(kind.folder for kind in Kind)

_PATH = re.compile(rf"({'|'.join(FOLDERS)})/(?!\.)[^/\\\x00-\x1f\x7f:]{{1,200}}\.toml")


def own_files(home: Path) -> dict[str, bytes]:
    """What is in each of them, by folder and name. BadFile for one that can't be read, or is too big to be one."""
    return {name: _body(path) for name, path in _paths(home)}


def readable(home: Path) -> dict[str, bytes]:
    """Those of them that can be read: what keeps one from it must not keep the record from being brought up to date."""
    found = {}
    for name, path in _paths(home):
        with suppress(BadFile):  # it stays where it is, and the library tells what is wrong with it
            found[name] = _body(path)
    return found


def _paths(home: Path) -> Iterator[tuple[str, Path]]:
    for folder in FOLDERS:
        for path in toml_files(home / folder):
            yield f"{folder}/{path.name}", path


def _body(path: Path) -> bytes:
    try:
        body = path.read_bytes()
    except OSError as error:
        raise BadFile(label(path), f"cannot be read: {reason(error)}") from error
    if len(body) > MOST_BYTES:
        raise BadFile(label(path), f"is larger than {MOST_BYTES // 1024:,} KiB")
    return body


def checked(where: str, files: Mapping[str, bytes]) -> Mapping[str, bytes]:
    """The same files. BadFile where a name would lead elsewhere, or a file is too big to be one of these."""
    for path, body in files.items():
        if _PATH.fullmatch(path) is None or len(body) > MOST_BYTES:
            raise BadFile(where, f"{plain(path, 80)!r} in it is no finish, schedule or wood of a maker's own")
    return files


def others(home: Path, files: Mapping[str, bytes]) -> list[str]:
    """Those of the files that are not as they are in the shop's folder, or not there."""
    present = own_files(home)
    return [path for path, body in sorted(files.items()) if present.get(path) != body]


def put_back(home: Path, files: Mapping[str, bytes], paths: Iterable[str]) -> None:
    """Write some of the files, each whole or as it was. BadFile where one can't be written."""
    for path in paths:
        try:
            home.mkdir(mode=0o700, parents=True, exist_ok=True)
        except OSError as error:
            raise BadFile(label(home / path), f"cannot be written: {reason(error)}") from error
        write_bytes(home / path, files[path])
