"""Kill the program at random moments, again and again, and see that nothing acknowledged is lost.

    python -m tests.store.campaign_kills [--runs 300] [--seed 1] [--work importing]

Prints the table of DEVELOPERS.md. Ends with code 1 if anything was lost, half done or unsound.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from pathlib import Path

from .kills import WORKS, Tally, begin

HEAD = ("killed while", "kills", "acknowledged", "of it lost", "whole", "absent", "half done", "files unsound")


def main() -> int:
    """Run the campaign."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=300, help="kills in all, shared evenly")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--work", choices=list(WORKS), help="only this work")
    args = parser.parse_args()
    works = [args.work] if args.work else list(WORKS)
    tallies = []
    for n, work in enumerate(works):
        share = (args.runs + n) // len(works)
        with tempfile.TemporaryDirectory(prefix="finishing-kills-") as folder:
            home = begin(Path(folder) / "home")
            tallies.append(WORKS[work](home, share, random.Random(f"{args.seed} {work}")))
    print(table(tallies))  # noqa: T201
    for tally in tallies:
        for problem in tally.unsound[:5]:
            print(f"{tally.work}: {problem}")  # noqa: T201
    return 0 if all(tally.clean for tally in tallies) else 1


def table(tallies: list[Tally]) -> str:
    """The table in Markdown."""
    rows = [HEAD, tuple("---" for _ in HEAD)]
    for t in tallies:
        either = ("", "") if t.whole + t.absent == 0 else (str(t.whole), str(t.absent))
        rows.append(
            (t.work, str(t.kills), str(t.acknowledged), str(t.lost), *either, str(t.halves), str(len(t.unsound)))
        )
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


if __name__ == "__main__":
    sys.exit(main())
