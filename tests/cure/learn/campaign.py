"""The long simulation of learning, by its own command: thousands of shops whose factor nobody told the program.

    python -m tests.cure.learn.campaign [--runs 4000] [--seed 1]

Prints the table of DEVELOPERS.md, for looks that are all of the coat and for one in fifty that is of something else.
Ends with code 1 if an interval's coverage lies outside 88 to 92 % or a bias of over 0.02 is left after ten coats.
"""

from __future__ import annotations

import argparse
import sys

from .shops import measure, table

COUNTS = (2, 5, 10, 20, 50)


def main() -> int:
    """Run both tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=4000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    wrong = 0
    for words, stray in (("every look is of the coat", 0.0), ("one look in fifty is of something else", 0.02)):
        rows = measure(args.seed, args.runs, COUNTS, stray)
        print(f"{args.runs:,} shops, {words}\n\n{table(rows)}\n")  # noqa: T201
        wrong += sum(not 0.88 <= row.covered <= 0.92 or (row.tests >= 10 and abs(row.bias) > 0.02) for row in rows)
    return min(wrong, 1)


if __name__ == "__main__":
    sys.exit(main())
