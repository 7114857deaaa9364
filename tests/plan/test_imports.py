"""Importing the planner, and solving what needs no search, loads no solver."""

from __future__ import annotations

import subprocess
import sys

FOREIGN = ("ortools", "pandas", "sqlmodel", "sqlalchemy", "textual", "pydantic", "click")


def loaded(code: str) -> set[str]:
    """Which of FOREIGN are loaded after running `code` in a fresh interpreter."""
    report = f"{code}\nimport sys\nprint(*[m for m in {FOREIGN!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", report], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_importing_the_planner_loads_none_of_them():
    assert loaded("import finishing.plan, finishing.plan.solver, finishing.plan.run, finishing.plan.check") == set()


def test_what_is_proved_at_once_loads_no_solver():
    code = (
        "from finishing.plan import solve_project as s\nassert s([1], [[1]], [1], [], horizon=5, time_limit=5).starts"
    )
    assert loaded(code) == set()


def test_a_search_loads_only_the_solver():
    # Five of 3 two at a time within 8: only a search can tell (see the hand-worked projects).
    code = (
        "from finishing.plan import solve_project as s\n"
        "assert s([3] * 5, [[1]] * 5, [2], [], horizon=8, time_limit=30).status == 'infeasible'"
    )
    assert loaded(code) - {"pandas"} == {"ortools"}
