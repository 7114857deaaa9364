"""The bytes of a log: opened, measured, their encoding found, and streamed as lines."""

from __future__ import annotations

import codecs
import io
import os
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from finishing.errors import BadFile
from finishing.exchange.plain import plain

MAX_BYTES = 2 * 1024**3
MAX_LINE = 64 * 1024
HEAD_BYTES = 64 * 1024
BLOCK_CHARACTERS = 512 * 1024

MAGIC = (
    (b"PK\x03\x04", "a zipped file or a spreadsheet's workbook"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet's workbook"),
    (b"%PDF", "a PDF document"),
    (b"\x1f\x8b", "a gzip archive"),
)
AS_CSV = "export the readings as CSV or text"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a log's bytes come from: its name as shown, its size [bytes], and how to open it."""

    name: str
    size: int
    open: Callable[[], BinaryIO]


def source_of(path: str | os.PathLike[str] | bytes) -> Source:
    """A file's or some bytes' source. BadFile when there is no such file, or it is empty or over MAX_BYTES."""
    source = _in_memory(path) if isinstance(path, bytes) else _on_disk(Path(path))
    if source.size == 0:
        raise BadFile(source.name, "the file is empty", AS_CSV)
    if source.size > MAX_BYTES:
        raise BadFile(source.name, f"{source.size / 1e9:.1f} GB is more than 2 GB", "export a shorter period")
    return source


def _in_memory(data: bytes) -> Source:
    return Source("log", len(data), lambda: io.BytesIO(data))


def _on_disk(path: Path) -> Source:
    name = plain(path.name or str(path), 80)
    try:
        found = path.stat()
    except (OSError, ValueError) as trouble:
        raise BadFile(name, f"cannot be read: {_reason(trouble)}") from trouble
    if not stat.S_ISREG(found.st_mode):
        raise BadFile(name, "is not a file", AS_CSV)
    return Source(name, found.st_size, lambda: path.open("rb"))


def _reason(trouble: OSError | ValueError) -> str:
    return getattr(trouble, "strerror", None) or plain(str(trouble), 80)


def encoding_of(source: Source) -> str:
    """The codec for the file, from its byte order mark or its first bytes. BadFile when it is not text.

    Latin-1 when the head is not UTF-8. The rest may still turn out not to be what the head promised: then
    `blocks` raises UnicodeDecodeError.
    """
    try:
        with source.open() as file:
            head = file.read(HEAD_BYTES)
    except OSError as trouble:
        raise BadFile(source.name, f"cannot be read: {_reason(trouble)}") from trouble
    for magic, what in MAGIC:
        if head.startswith(magic):
            raise BadFile(source.name, f"this is {what}, not text", AS_CSV)
    encoding = _codec(head)
    text = codecs.getincrementaldecoder(encoding)("replace").decode(head)
    odd = sum((c < " " and c not in "\t\r\n\f") or c == "\ufffd" for c in text)
    if not text.strip() and source.size <= HEAD_BYTES:
        raise BadFile(source.name, "the file has nothing but blank lines", AS_CSV)
    if odd > 0.02 * len(text) or (b"\0" in head and not encoding.startswith("utf-16")):
        raise BadFile(source.name, "this is a binary file, not text", AS_CSV)
    return encoding


def _codec(head: bytes) -> str:
    if head.startswith(codecs.BOM_UTF8):
        return "utf-8-sig"
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    if len(head) >= 4:
        # Western text in UTF-16 has a zero in nearly every second byte.
        even, uneven = head[0::2].count(0) * 2 / len(head), head[1::2].count(0) * 2 / len(head)
        if max(even, uneven) > 0.7 and min(even, uneven) < 0.1:
            return "utf-16-le" if uneven > even else "utf-16-be"
    try:
        codecs.getincrementaldecoder("utf-8")().decode(head)
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def blocks(source: Source, encoding: str) -> Iterator[tuple[list[str], int]]:
    """Whole lines without their ends, some tens of thousands at a time, and the bytes read so far.

    BadFile on a line over MAX_LINE characters or when the disk fails; UnicodeDecodeError on other bytes.
    """
    try:
        with source.open() as binary, io.TextIOWrapper(binary, encoding=encoding) as text:
            carry, line = "", 1
            while block := text.read(BLOCK_CHARACTERS):
                lines = (carry + block).split("\n")
                carry = lines.pop()
                _check(source, lines, carry, line)
                line += len(lines)
                yield lines, binary.tell()
            if carry:
                yield [carry], source.size
    except OSError as trouble:
        raise BadFile(source.name, f"cannot be read: {_reason(trouble)}") from trouble


def _check(source: Source, lines: list[str], carry: str, first: int) -> None:
    longest = max(map(len, lines), default=0)
    if longest > MAX_LINE or len(carry) > MAX_LINE:
        at = next((i for i, text in enumerate(lines) if len(text) > MAX_LINE), len(lines))
        raise BadFile(source.name, f"line {first + at} is longer than {MAX_LINE:,} characters", AS_CSV)
