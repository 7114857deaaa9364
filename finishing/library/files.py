"""Reading and writing one small text file, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from finishing.errors import BadFile

MOST_BYTES = 1 << 20
"""No file a person writes by hand comes near this."""


def label(path: Path) -> str:
    """A file as messages name it: its folder and name, never its control characters."""
    text = f"{path.parent.name}/{path.name}"
    return text if text.isprintable() else ascii(text)


def read_text(path: Path) -> str:
    """A UTF-8 file's text, without a byte order mark. BadFile when it is no file, too big or not UTF-8."""
    where = label(path)
    try:
        if not path.is_file():
            raise BadFile(where, "is not a file")
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise BadFile(where, f"cannot be read: {reason(error)}") from error
    if len(raw) > MOST_BYTES:
        raise BadFile(where, f"is larger than {MOST_BYTES // 1024:,} KiB")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadFile(f"{where}, line {line}", "is not UTF-8 text", "save it as UTF-8") from error


def write_text(path: Path, text: str) -> None:
    """Put a text in place as UTF-8, as `write_bytes` does."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, body: bytes) -> None:
    """Put a file in place in one go: a reader, or a power cut, meets the old one or the new one, never a part."""
    temporary: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile("wb", dir=path.parent, prefix=".", suffix=".tmp", delete=False) as stream:
            temporary = Path(stream.name)
            stream.write(body)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(temporary, path)
        temporary = None
        _sync_folder(path.parent)
    except OSError as error:
        raise BadFile(label(path), f"cannot be written: {reason(error)}") from error
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return  # elsewhere a folder cannot be opened for this
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def reason(error: OSError | ValueError) -> str:
    """The system's words for what went wrong, without the path."""
    return str(getattr(error, "strerror", None) or error).lower()
