"""The maker's own folder, told without opening the record."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from platformdirs import user_data_dir

from finishing.errors import BadInput

HOME = "FINISHING_HOME"


def home_folder(environ: Mapping[str, str] = os.environ) -> Path:
    """The folder of the record, its backups, and the maker's own finishes, schedules and woods. Makes nothing.

    BadInput for a name that no folder can have.
    """
    given = environ.get(HOME)
    folder = Path(given or user_data_dir("finishing", appauthor=False)).expanduser().absolute()
    check_name(folder, HOME)
    return folder


def check_name(path: Path, field: str) -> None:
    """BadInput for a path the system can't even look for: too long, or with a loop of links or a NUL in it."""
    try:
        os.stat(path / ("x" * 80))  # with room for the names of what goes into it
    except (FileNotFoundError, NotADirectoryError, PermissionError):
        return  # made when it is wanted, or said in its own words by whoever wants to read it
    except (OSError, ValueError) as error:
        why = str(getattr(error, "strerror", None) or error).lower()
        shown = str(path) if len(str(path)) <= 60 else f"{str(path)[:57]}..."
        raise BadInput(field, shown, f"a path the system takes ({why})") from error
