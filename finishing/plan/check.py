"""An independent check of a schedule: walks its timeline and says in words what is broken.

It reads only the project and the starts, and shares no code with the first plan or the solver, so that a
mistake in them can't hide itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from finishing.plan.project import Project


def violations(project: Project, starts: Sequence[int], horizon: int) -> list[str]:
    """Every way in which `starts` breaks the project or runs past `horizon`; [] if it holds."""
    if len(starts) != len(project.durations):
        return [f"{len(starts)} starts for {len(project.durations)} activities"]
    return [
        *_out_of_time(project, starts, horizon),
        *_broken_lags(project, starts),
        *_overfull(project, starts),
    ]


def _out_of_time(project: Project, starts: Sequence[int], horizon: int) -> Iterator[str]:
    for i, (start, duration) in enumerate(zip(starts, project.durations, strict=True)):
        if start != int(start):
            yield f"activity {i} starts at {start}, which is not a whole time"
        if start < 0:
            yield f"activity {i} starts at {start}, before 0"
        if start + duration > horizon:
            yield f"activity {i} ends at {start + duration}, after the horizon {horizon}"


def _broken_lags(project: Project, starts: Sequence[int]) -> Iterator[str]:
    for before, after, least in project.lags:
        between = starts[after] - starts[before]
        if between >= least:
            continue
        if least < 0:
            yield f"activity {before} starts {-between} after activity {after}, at most {-least} allowed"
        else:
            yield f"activity {after} starts {between} after activity {before}, at least {least} needed"


def _overfull(project: Project, starts: Sequence[int]) -> Iterator[str]:
    """Use can only rise when something starts, so it is enough to look at every start."""
    for instant in sorted(set(starts)):
        running = [
            i
            for i, (start, duration) in enumerate(zip(starts, project.durations, strict=True))
            if start <= instant < start + duration
        ]
        for k, capacity in enumerate(project.capacities):
            used = sum(project.demands[i][k] for i in running)
            if used > capacity:
                users = ", ".join(str(i) for i in running if project.demands[i][k])
                yield f"at {instant} resource {k} is held {used} times, capacity {capacity} (activities {users})"
