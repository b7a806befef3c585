"""The judge of the benchmark: measures from outside, believes nobody, and says what is wrong."""

from dataclasses import replace

import pytest

from tests.benchmarks.plan_benchmark import line, main, numbers, options, runs
from tests.benchmarks.plan_contest import OURS, Outcome, Run, beaten_bounds, compete, judge
from tests.benchmarks.plan_instances import small
from tests.scheduling.core.planner.cases import plan, proven


@pytest.mark.parametrize("way", [OURS, "greedy grouping"])
def test_a_run_is_a_process_of_its_own_with_time_memory_and_price(way, tmp_path):
    outcome = compete(small(1), Run(way, 10.0, 1), tmp_path)
    assert outcome.wrong == ()
    assert outcome.total >= proven(small(1)) - 0.01
    assert 0.1 < outcome.seconds < 30
    assert outcome.memory > 10e6
    if way == OURS:
        assert (outcome.stopped, outcome.gap) == ("optimal", pytest.approx(0.0, abs=1e-6))


def test_a_run_that_writes_no_plan_says_why(tmp_path):
    outcome = compete(small(1) | {"format": "shop-plan-9"}, Run(OURS, 5.0, 1), tmp_path)
    assert outcome.total is None
    assert "format: must be" in outcome.wrong[0]


def test_a_plan_that_lies_about_its_price_or_bound_is_found_out():
    case = small(1)
    told = plan(case).to_dict()
    assert judge(case, told)[1] == ()
    assert "price:" in judge(case, told | {"total": told["total"] - 1})[1][0]
    assert "bound:" in judge(case, told | {"bound": told["total"] + 1})[1][0]
    assert judge(case, told | {"deferred": ["t0", *told["deferred"]]})[1] != ()


OUTCOME = Outcome(Run(OURS, 5.0, 2), 100.0, 90.0, 5.0, 10**8, ())


def test_a_bound_above_somebody_elses_plan_is_found_out():
    other = replace(OUTCOME, run=Run("greedy grouping", 5.0, 2), total=89.0, bound=None)
    assert "is above a plan that costs 89.00" in beaten_bounds([OUTCOME, other])[0]
    assert beaten_bounds([OUTCOME, replace(other, total=91.0)]) == []
    assert beaten_bounds([OUTCOME, replace(other, wrong=("limit: t0",))]) == []


def test_a_row_of_the_table_tells_cost_bound_gap_time_and_memory():
    assert line("M 1", 184, OUTCOME) == (
        "| M 1 | Evener | 5 | 100.00 | 90.00 | 10.00 | 5.0 | 100 | 184 |  |"
    )
    assert "1 wrong: hours / w" in line("M 1", 184, replace(OUTCOME, wrong=("hours | w",)))
    assert "over time" in line("M 1", 184, replace(OUTCOME, seconds=5.6))


def test_seeds_and_seconds_are_read_as_written():
    assert numbers("1-3,7") == [1, 2, 3, 7]
    chosen = options(["--sizes", "S", "--seconds", "2,10"])
    made = [(run.way, run.seconds) for run in runs("S", 36, chosen)]
    assert made[-2:] == [(OURS, 2.0), (OURS, 10.0)]
    assert made[2] == ("plain model", 10.0)
    assert "plain model" not in {run.way for run in runs("L", 1606, chosen)}


def test_an_unknown_size_is_refused():
    with pytest.raises(SystemExit) as stop:
        options(["--sizes", "S,Q"])
    assert stop.value.code == 2


def test_the_benchmark_prints_its_tables_and_ends_with_0(capsys):
    assert main(["--sizes", "S", "--seeds", "1", "--seconds", "3", "--workers", "1"]) == 0
    printed = capsys.readouterr().out
    assert printed.count("| S 1 |") == 4
    assert "| S | 3 | 1 |" in printed
    assert "keeps every rule" in printed
