"""News of a search, stopping it, its limits, and what it does with an error of its listener."""

from __future__ import annotations

import itertools
import threading
import time

import pytest

from finishing.plan import Limits, Status, project_of, solve, violations

from .networks import Shape, ample_horizon, network

HARD = network(Shape(60, 4, tight=0.1, cycles=8, slack=1.5), 0)
"""Too large to be proved in the seconds given here."""

HORIZON = ample_horizon(HARD)

EASY = network(Shape(16, 3, tight=0.15, cycles=5, slack=0.6), 3)


def test_news_only_gets_better_and_ends_at_the_answer():
    news = []
    result = solve(EASY, horizon=ample_horizon(EASY), limits=Limits(30), on_progress=news.append)
    assert result.status is Status.OPTIMAL
    assert len(news) > 1
    for earlier, later in itertools.pairwise(news):
        assert later.bound >= earlier.bound
        assert earlier.makespan is None or later.makespan <= earlier.makespan
        assert later.seconds >= earlier.seconds
    for each in news:
        assert each.bound <= result.makespan
        if each.starts is not None:
            assert violations(EASY, each.starts, ample_horizon(EASY)) == []
            assert EASY.makespan(each.starts) == each.makespan
    assert news[-1].makespan == result.makespan


def test_no_time_at_all_gives_one_quick_pass():
    result = solve(HARD, horizon=HORIZON, limits=Limits(0))
    assert result.status in (Status.FEASIBLE, Status.UNKNOWN)
    assert result.bound > 0


def test_the_time_limit_ends_the_search_with_the_best_so_far():
    news = []
    begun = time.monotonic()
    result = solve(HARD, horizon=HORIZON, limits=Limits(1.5), on_progress=news.append)
    assert time.monotonic() - begun < 6  # the limit, and room for a busy machine
    assert result.status is Status.FEASIBLE
    assert result.bound < result.makespan
    assert news[0].makespan is None or result.makespan <= news[0].makespan


def test_a_stop_ends_the_search_at_once():
    stop = threading.Event()
    times = []

    def ask(_):
        if not times:
            threading.Timer(0.5, lambda: (times.append(time.monotonic()), stop.set())).start()
            times.append(None)

    result = solve(HARD, horizon=HORIZON, limits=Limits(120), on_progress=ask, stop=stop)
    assert time.monotonic() - times[-1] < 5
    assert result.status in (Status.FEASIBLE, Status.UNKNOWN)


def test_a_stop_set_before_leaves_the_solver_alone():
    stop = threading.Event()
    stop.set()
    news = []
    result = solve(HARD, horizon=HORIZON, limits=Limits(120), on_progress=news.append, stop=stop)
    assert len(news) == 1
    assert result.starts == news[0].starts


@pytest.mark.parametrize("call", [1, 2])
def test_an_error_of_the_listener_reaches_the_caller(call):
    heard = []

    def listener(news):
        heard.append(news)
        if len(heard) == call:
            raise ValueError("the screen is gone")

    before = threading.active_count()
    with pytest.raises(ValueError, match="the screen is gone"):
        solve(HARD, horizon=HORIZON, limits=Limits(60), on_progress=listener)
    assert len(heard) == call
    assert threading.active_count() == before


def test_deterministic_gives_the_same_plan_again():
    first, second = (solve(EASY, horizon=ample_horizon(EASY), limits=Limits(60, deterministic=True)) for _ in range(2))
    assert first.status is Status.OPTIMAL
    assert first == second


def test_a_plan_already_proved_needs_no_solver():
    news = []
    project = project_of([3, 4], [[1], [1]], [1], [])
    result = solve(project, horizon=20, limits=Limits(5), on_progress=news.append)
    assert result.status is Status.OPTIMAL
    assert len(news) == 1
