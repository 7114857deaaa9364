"""Where the shipped content lies: beside the package in a checkout, inside it once installed."""

from __future__ import annotations

from pathlib import Path

from finishing.errors import BadFile

PACKAGE = Path(__file__).resolve().parent.parent


def shipped(folder: str) -> Path:
    """The shipped folder of that name ("data", "schedules"). BadFile when the install has lost it."""
    for candidate in (PACKAGE / "_shipped" / folder, PACKAGE.parent / folder):
        if candidate.is_dir():
            return candidate
    raise BadFile(folder, "the content shipped with the program is missing", "install it again")
