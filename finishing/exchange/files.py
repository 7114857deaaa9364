"""Writing a file the user asked for: private to them, whole or not there at all, and never over what is another's."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from finishing.errors import BadInput


@contextmanager
def writing(target: Path, field: str, begins: bytes = b"") -> Iterator[BinaryIO]:
    """A new file to write to, in place of `target` once all went well; read and written by its owner alone.

    begins: how a file that may be replaced begins; b"": none may. BadInput where something else stands, or nothing
    can be put.
    """
    _check(target, field, begins)
    part = target.with_name(f".{target.name}.part")
    try:
        handle = os.open(part, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
    except OSError as error:
        raise BadInput(field, str(target), f"a file that can be made there ({error.strerror})") from error
    try:
        with os.fdopen(handle, "wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())
        os.replace(part, target)
    except OSError as error:
        raise BadInput(field, str(target), f"a file that can be written there ({error.strerror})") from error
    finally:
        part.unlink(missing_ok=True)


def write_private(target: Path, body: bytes, field: str, begins: bytes = b"") -> None:
    """Write all at once, as `writing` does."""
    with writing(target, field, begins) as out:
        out.write(body)


def _check(target: Path, field: str, begins: bytes) -> None:
    try:
        if target.is_dir():
            raise BadInput(field, str(target), "a file's name, not a folder")
        if not target.exists():
            return
        with target.open("rb") as there:
            same = bool(begins) and there.read(len(begins)) == begins
    except OSError as error:
        raise BadInput(field, str(target), f"a file that can be put there ({error.strerror})") from error
    if not same:
        raise BadInput(field, str(target), "a file that is not there yet; this one holds something else")
