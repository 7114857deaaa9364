"""Starts from anywhere made into a plan: which windows they must reopen, and whether they hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from finishing.plan.batches.problem import Problem, Task
from finishing.plan.batches.score import Placed, Schedule, score
from finishing.plan.batches.serial import Key


def replay(problem: Problem, before: Schedule, starts: Mapping[Key, int]) -> Schedule:
    """A plan with these starts; what has none stays where it was. A window is reopened only if it would have shut."""
    rows = []
    for j, (job, old) in enumerate(zip(problem.jobs, before.placed, strict=True)):
        row: list[Placed] = []
        for t, where in enumerate(old):
            if (j, t) not in starts:
                row.append(where)
                continue
            start, task = starts[j, t], job.tasks[t]
            shuts = min([task.shut_at, *(int(gate.curve[row[gate.task].start]) for gate in task.shuts)])
            row.append(Placed(start, start + task.slots > shuts))
        rows.append(tuple(row))
    placed = tuple(rows)
    return Schedule(placed, score(problem, placed), before.unkept)


def opens_at(task: Task, over: Sequence[int]) -> int:
    """The slot from which a task may begin, as far as its own batch goes. over: the ends of the tasks before it."""
    after = over[-1] + task.gap if over else 0
    return max([task.earliest, after, *(int(gate.curve[over[gate.task]]) for gate in task.gates)])


def violations(problem: Problem, plan: Schedule) -> list[str]:
    """Every way in which a plan breaks its problem, in words; [] if it holds. Racks are left to the walk in tests."""
    found = []
    work: list[tuple[int, int, str]] = []
    for job, placed in zip(problem.jobs, plan.placed, strict=True):
        over: list[int] = []
        for t, (task, where) in enumerate(zip(job.tasks, placed, strict=False)):
            name = f"{job.code} task {t}"
            end = where.start + task.takes(where.reopened)
            opens = opens_at(task, over)
            if where.start < opens:
                found.append(f"{name} begins at {where.start}, before {opens}")
            shuts = min([task.shut_at, *(int(gate.curve[placed[gate.task].start]) for gate in task.shuts)])
            if end > shuts and not where.reopened:
                found.append(f"{name} ends at {end}, after its window shut at {shuts}")
            want = ((1 << (end - where.start)) - 1) << where.start
            if task.pinned is None and want & ~problem.grid.worked:
                found.append(f"{name} from {where.start} to {end} is outside the hours")
            over.append(end)
            work.append((where.start, end, name))
    for start, _, name in work:
        busy = [other for a, b, other in work if a <= start < b]
        if len(busy) > problem.makers:
            found.append(f"{name} begins at {start} while hands are on {', '.join(o for o in busy if o != name)}")
    return found
