"""The maker's own editor over one file, aside from where the library reads it."""

from __future__ import annotations

import os
import shlex
import subprocess
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from finishing.errors import BadInput
from finishing.library import Kind


def editor(environ: Mapping[str, str] = os.environ) -> str:
    """The command of the maker's editor, "" when none is set."""
    return environ.get("VISUAL", "").strip() or environ.get("EDITOR", "").strip()


@dataclass(frozen=True, slots=True)
class Aside:
    """A copy of one of the maker's files to edit. seen: its text when it was copied."""

    kind: Kind
    target: Path
    seen: str
    folder: tempfile.TemporaryDirectory[str]

    @classmethod
    def of(cls, kind: Kind, target: Path, seen: str) -> Aside:
        """Lay a copy aside, under the same folder and name, so that messages name it rightly."""
        aside = cls(kind, target, seen, tempfile.TemporaryDirectory(prefix="finishing-"))
        aside.file.parent.mkdir()
        aside.file.write_text(seen, "utf-8", newline="")
        return aside

    @property
    def file(self) -> Path:
        """The copy."""
        return Path(self.folder.name) / self.kind.folder / self.target.name

    def drop(self) -> None:
        """Throw the copy away."""
        self.folder.cleanup()


def run(command: str, file: Path) -> None:
    """Run the editor until it is closed. BadInput when it can't be run or says that it failed."""
    try:
        words = shlex.split(command)
        done = subprocess.run([*words, str(file)], check=False)
    except (OSError, ValueError) as error:
        raise BadInput("EDITOR", command, "a command that can be run") from error
    if done.returncode != 0:
        raise BadInput("EDITOR", command, f"an editor that ends well; it ended with {done.returncode}")
