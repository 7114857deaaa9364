"""Hostile text by the ten thousand, tried on everything that reads it.

    python -m tests.hostile.fuzz [--inputs 20000] [--seed 1] [--only taking_out] [--seconds 90]

Nine in ten go to fields, shown text, logger files and TOML; one in ten to whole commands on a shop. Prints a table;
ends with a traceback at the first crash, hang (a minute of work), partial write or character that reaches the terminal.
"""

from __future__ import annotations

import argparse
import math
import os
import shutil
import signal
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from types import FrameType

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from finishing.store.sound import examine

from .deeds import CHEAP, DEAR, Deed, begin

HANGS_AFTER = 60.0
"""Seconds of CPU time: a busy machine is no hang."""

ANEW = 250
"""A shop is begun anew after so many inputs, so that it stays small."""


def main() -> int:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--inputs", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=[deed.__name__ for deed in CHEAP + DEAR], help="this alone")
    parser.add_argument("--seconds", type=float, default=math.inf, help="no longer on each row")
    args = parser.parse_args()
    print("| tried on | inputs | slowest (CPU) |\n|---|---|---|")  # noqa: T201
    total = 0
    with tempfile.TemporaryDirectory(prefix="finishing-fuzz-") as folder:
        for deeds, share in ((CHEAP, 0.9), (DEAR, 0.1)):
            for deed in deeds:
                if args.only not in (None, deed.__name__):
                    continue
                wanted = args.inputs if args.only else max(1, round(args.inputs * share / len(deeds)))
                done, slowest = tried(deed, Path(folder) / deed.__name__, wanted, args.seed, args.seconds)
                words = (deed.__doc__ or "").splitlines()[0].rstrip(".")
                print(f"| {words[:1].lower()}{words[1:]} | {done:,} | {slowest:.2f} s |", flush=True)  # noqa: T201
                total += done
    print(f"{total:,} inputs: no crash, no hang, nothing half-written, nothing that reaches the terminal")  # noqa: T201
    return 0


class Enough(BaseException):
    """As many inputs as were wanted. Not an Exception, which would be looked into as a failure."""


def _hangs(number: int, frame: FrameType | None) -> None:
    raise TimeoutError(f"hangs: over {HANGS_AFTER:g} s")


def tried(deed: Deed, home: Path, wanted: int, chosen: int, seconds: float) -> tuple[int, float]:
    """How many inputs a deed took, in so many seconds at most, and the most time one took [s].

    Not the first, for which a lot is imported.
    """
    done, anew, slowest, until = 0, 0, 0.0, time.monotonic() + seconds
    os.environ["FINISHING_HOME"] = str(home)
    signal.signal(signal.SIGPROF, _hangs)

    @seed(chosen)
    @settings(
        max_examples=wanted, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(data=st.data())
    def each(data: st.DataObject) -> None:
        nonlocal done, anew, slowest
        if deed in DEAR and done >= anew:
            anew = done + ANEW
            if home.exists():
                assert examine(home / "finishing.db").sound
                shutil.rmtree(home)
            begin(home)
        signal.setitimer(signal.ITIMER_PROF, HANGS_AFTER)
        begun = time.process_time()
        try:
            count = deed(data, home) or 1
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0.0)
        slowest = max(slowest, time.process_time() - begun) if done else 0.0
        done += count
        if done >= wanted or time.monotonic() > until:
            raise Enough

    with suppress(Enough):
        each()
    return done, slowest


if __name__ == "__main__":
    sys.exit(main())
