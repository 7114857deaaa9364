"""`finishing due` on a shop with ten years behind it, against a process that only imports and opens the same file.

    python tests/bench/bench_due.py [--small]

Floor: a process that imports sqlmodel, numpy and pendulum, connects to the file and asks it for 1.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

from processes import compare

from finishing.clock import now_hour
from finishing.library import Library, freeze

FLOOR = (
    "import sqlmodel, numpy, pendulum, os;"
    "engine = sqlmodel.create_engine('sqlite:///' + os.environ['FINISHING_HOME'] + '/finishing.db');"
    "connection = engine.connect(); print(connection.exec_driver_sql('select 1').scalar())"
)
SCHEDULE = "wiped-varnish-four"


def make_old_shop(home: Path, *, small: bool, coats_a_can: int = 0) -> Path:
    """A home with ten years behind it, or a hundredth of that. Returns the database."""
    library = Library()
    schedule = library.schedule(SCHEDULE)
    body = freeze(schedule, library.finishes_of(schedule), [library.species("hard maple")], library.classes)
    frozen, file = home / "frozen.json", home / "finishing.db"
    frozen.write_text(body, encoding="utf-8")
    kinds = ",".join(step.kind.value for step in schedule.steps)
    sizes = ["--batches", "200", "--open", "20", "--readings", "10000"] if small else []
    maker = [sys.executable, str(Path(__file__).with_name("make_shop.py")), str(file)]
    named = ["--schedule", SCHEDULE, "--kinds", kinds, "--frozen", str(frozen), "--end", f"{now_hour():.3f}"]
    cans = ["--coats-a-can", str(coats_a_can)]
    subprocess.run([*maker, *named, *cans, *sizes], check=True)
    return file


def main() -> None:
    """Make the shop, then compare."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", action="store_true", help="a hundredth of the shop, to see that it runs")
    small = parser.parse_args().small
    with tempfile.TemporaryDirectory() as home:
        file = make_old_shop(Path(home), small=small)
        print(f"{file.stat().st_size / 2**20:.0f} MiB")
        compare("due", ["-m", "finishing", "due"], ["-c", FLOOR], {"FINISHING_HOME": home})


if __name__ == "__main__":
    main()
