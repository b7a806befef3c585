"""A fortnight backtested: a price on changes keeps the plan calm and hardly costs anything."""

import time

import pytest

from scheduling.core.planner import RunLimits, read_problem, solve
from tests.benchmarks.plan_backtest import Backtest, backtest, line, main
from tests.benchmarks.plan_world import World

NIGHTS = 14


def planner(case):
    return solve(read_problem(case), RunLimits(2.0, gap=0.002, clock=time.process_time))


@pytest.fixture(scope="module")
def diaries():
    """Three shops of twenty machines, under no price and under 20 a change."""
    return [backtest(World("S", seed, NIGHTS, 14), planner, [0.0, 20.0]) for seed in (1, 2, 3)]


def test_with_a_price_far_fewer_tasks_are_moved(diaries):
    free, priced = (sum(sum(d[price].moved) for d in diaries) for price in (0.0, 20.0))
    assert free > 20  # the noise is real: without a price the plan is turned over
    assert priced < 0.4 * free


def test_calm_costs_little(diaries):
    free, priced = (sum(d[price].total for d in diaries) for price in (0.0, 20.0))
    assert priced < 1.03 * free


def test_calm_leaves_no_more_work_overdue(diaries):
    free, priced = (sum(d[price].overdue_days for d in diaries) for price in (0.0, 20.0))
    assert priced < 1.15 * free


def test_every_task_heard_of_is_done_or_priced_as_open(diaries):
    world = World("S", 1, NIGHTS, 14)
    diary = diaries[0][20.0]
    heard = {n for n, s in world.stories.items() if s.heard <= NIGHTS}
    assert set(diary.done) < heard
    assert len(diary.done) > 0.5 * len(heard)
    assert set(diary.cost) >= {"overdue", "waste", "visit", "downtime", "still open"}
    assert len(diary.moved) == len(diary.stood) == NIGHTS


def test_a_planner_that_never_plans_pays_for_it():
    """Nothing is moved, nothing done; the month costs more than any plan of ours."""

    def idle(case):
        return planner(case | {"mechanics": []})

    world = World("S", 1, 4, 14)
    lazy, ours = Backtest(world, idle, 20.0).run(), Backtest(world, planner, 20.0).run()
    assert (sum(lazy.moved), len(lazy.done)) == (0, 0)
    assert lazy.total > 1.2 * ours.total


def test_a_row_tells_moves_overdue_days_and_the_cost_against_no_price(diaries):
    first, priced = diaries[0][0.0], diaries[0][20.0]
    cells = [cell.strip() for cell in line(20.0, priced, first).strip("|").split("|")]
    assert cells[0] == "20"
    assert cells[2] == str(sum(priced.moved))
    assert cells[-1] == f"{100 * (priced.total / first.total - 1):+.1f}"


def test_the_command_prints_a_row_for_each_price(capsys):
    asked = ["--size", "S", "--nights", "2", "--horizon", "7", "--seconds", "1", "--workers", "1"]
    assert main([*asked, "--change", "0,20"]) == 0
    printed = capsys.readouterr().out
    assert "| 0 |" in printed
    assert "| 20 |" in printed
