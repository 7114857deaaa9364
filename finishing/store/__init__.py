"""The record on disk: SQLModel tables on SQLite, or PostgreSQL; entries only ever added.

`Store.open(locate(), now)` opens it; `store.read()` and `store.write()` are its units of work, which the functions
of `batches`, `entries`, `frozen`, `places`, `readings`, `cans` and `settings` take as their first argument.
"""

from finishing.store.location import Location, at_file, locate
from finishing.store.trouble import Conflict
from finishing.store.work import Reader, Store, Writer, backup, check

__all__ = ["Conflict", "Location", "Reader", "Store", "Writer", "at_file", "backup", "check", "locate"]
