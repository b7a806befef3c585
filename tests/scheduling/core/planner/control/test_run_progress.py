from math import inf

from scheduling.core.planner import RunLimits, RunProgress, read_problem, solve
from scheduling.core.planner.control.run_progress import PAUSE, Board, Report, Reporter, Stage
from scheduling.core.planner.control.watch import Watch
from tests.benchmarks.plan_instances import instance, yard

TRY, PROVE = Stage.TRYING, Stage.PROVING


def test_a_teller_pauses_within_a_stage_and_not_between_stages():
    now, told = [0.0], []
    reporter = Reporter(Watch.start(lambda: now[0], 10.0), told.append)
    for stage, wait in [(TRY, 0.0), (TRY, PAUSE / 2), (PROVE, 0.0), (PROVE, PAUSE), (PROVE, 0.0)]:
        now[0] += wait
        reporter.report(stage, 5.0, 1.0)
    assert [report.stage for report in told] == [TRY, PROVE, PROVE]


def test_a_board_adds_up_and_drops_what_comes_late():
    shown: list[RunProgress] = []
    board = Board(2, shown.append)
    board.note(0, Report(TRY, 10.0, 4.0))
    board.finish(1, 6.0, 6.0)
    board.note(1, Report(TRY, 9.0, 1.0))
    board.note(0, Report(TRY, 8.0, 5.0))
    assert shown == [
        RunProgress(TRY, 0.0, inf, 4.0, 0, 2),
        RunProgress(Stage.PLANNED, 0.5, 16.0, 10.0, 1, 2),
        RunProgress(TRY, 0.5, 14.0, 11.0, 1, 2),
    ]


def test_a_run_tells_its_stages_with_a_cost_that_falls_and_a_bound_that_grows():
    told: list[RunProgress] = []
    case = yard(machines=30, mechanics=2, days=14, seed=1)
    result = solve(read_problem(case), RunLimits(4.0, gap=0.02), told.append)
    assert len({p.stage for p in told}) > 3
    costs, bounds = [p.cost for p in told], [p.bound for p in told]
    assert costs[:-1] == sorted(costs[:-1], reverse=True)
    assert bounds == sorted(bounds)
    assert all(bound <= result.total + 1e-6 for bound in bounds)


def test_a_shop_without_yards_or_tasks_tells_no_nonsense():
    told: list[RunProgress] = []
    solve(read_problem(instance(3)), RunLimits(1.0), told.append)
    assert all(0 <= p.share <= 1 for p in told)
