"""A plan that is late nowhere, or the proof that there is none."""

from __future__ import annotations

from ortools.sat.python import cp_model

from finishing.plan.batches.problem import Problem
from finishing.plan.batches.replay import replay
from finishing.plan.batches.score import Schedule
from finishing.plan.limits import StopToken
from finishing.plan.solver.batch_model import Builder, Stopped, value_of
from finishing.plan.solver.beside import beside

SEED, WORKERS = 1, 2


def in_time(problem: Problem, first: Schedule, seconds: float, stop: StopToken | None) -> tuple[Schedule | None, bool]:
    """The plan, if one is found; whether it is proved that there is none. first: a plan in which no job is frozen."""

    def stopped() -> bool:
        return stop is not None and stop.is_set()

    try:
        builder = Builder(problem, first, sessions=False, enough=stopped)
    except Stopped:
        return None, False
    built = builder.built
    built.model.add(value_of(built.late) <= 0)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.random_seed = SEED
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = seconds
    status = beside(lambda: int(solver.solve(built.model)), solver.stop_search, stopped)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        starts = {key: int(builder.slots[solver.value(spot.start)]) for key, spot in built.spots.items()}
        return replay(problem, first, starts), False
    return None, status == cp_model.INFEASIBLE
