"""The maker's own folder, told without opening the record."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from platformdirs import user_data_dir


def home_folder(environ: Mapping[str, str] = os.environ) -> Path:
    """Where the maker's own finishes, schedules and woods are: the folder `store.locate` finds, without the tables.

    Commands that need no record ask here, because importing the tables takes longer than all their work.
    """
    given = environ.get("FINISHING_HOME")
    return Path(given or user_data_dir("finishing", appauthor=False)).expanduser().absolute()
