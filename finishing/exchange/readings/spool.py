"""Rows of a log laid aside in a temporary file, so that a long log needs no more memory than a short one."""

from __future__ import annotations

import tempfile
import weakref
from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from finishing.errors import BadFile

Rows = npt.NDArray[np.void]
"""Records of one layout."""


class Spool:
    """Rows in parts, in the order they were added, in a file of its own that no other user can open and that goes
    with this object. BadFile, naming the log, when the disk has no room for it.
    """

    def __init__(self, name: str, layout: npt.DTypeLike) -> None:
        self.sizes: list[int] = []
        self._name = name
        self._layout = np.dtype(layout)
        try:
            self._file = tempfile.TemporaryFile(prefix="finishing-", buffering=0)  # noqa: SIM115  (closed by the finalizer)
        except OSError as trouble:
            raise self._no_room(trouble) from trouble
        self._begins: list[int] = []
        self._end = 0
        weakref.finalize(self, self._file.close)

    def __len__(self) -> int:
        return sum(self.sizes)

    def add(self, rows: Rows) -> None:
        """One more part; an empty one is left out."""
        if len(rows) == 0:
            return
        data = memoryview(rows.tobytes())
        self._begins.append(self._end)
        self.sizes.append(len(rows))
        try:
            self._file.seek(self._end)
            while data:
                written = self._file.write(data)
                data = data[written:]
                self._end += written
        except OSError as trouble:
            raise self._no_room(trouble) from trouble

    def part(self, which: int, start: int = 0, most: int | None = None) -> Rows:
        """Rows of one part, from one of them on, no more than so many."""
        rows = max(0, self.sizes[which] - start)
        size = self._layout.itemsize
        self._file.seek(self._begins[which] + start * size)
        length = (rows if most is None else min(rows, most)) * size
        return np.frombuffer(self._read(length), dtype=self._layout)

    def parts(self, *, backwards: bool = False) -> Iterator[Rows]:
        """Every part, the last one first when backwards."""
        for which in reversed(range(len(self.sizes))) if backwards else range(len(self.sizes)):
            yield self.part(which)

    def _read(self, length: int) -> bytearray:
        data = bytearray()
        while len(data) < length:
            more = self._file.read(length - len(data))
            if not more:
                raise BadFile(self._name, "what was read of it is gone from the temporary folder", "try again")
            data += more
        return data

    def _no_room(self, trouble: OSError) -> BadFile:
        return BadFile(
            self._name,
            f"no room in {tempfile.gettempdir()} for what was read of it: {trouble.strerror}",
            "free some, or name another folder as TMPDIR",
        )
