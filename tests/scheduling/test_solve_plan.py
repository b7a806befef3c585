"""The command that plans from a file: its exit status, its sentences and its time."""

import json
import time

import pytest
from django.core.management import CommandError, call_command

from tests.benchmarks.plan_instances import small, yard
from tests.in_time import first_in_time
from tests.plan_check import check


@pytest.fixture
def solve(tmp_path):
    """Write an instance, run the command, and return the plan that it wrote."""

    def run(case, **options):
        source, out = tmp_path / "instance.json", tmp_path / "plan.json"
        source.write_text(case if isinstance(case, str) else json.dumps(case), encoding="utf-8")
        call_command("solve_plan", str(source), out=str(out), **{"workers": 1, **options})
        return json.loads(out.read_text(encoding="utf-8"))

    return run


def test_the_plan_is_written_with_its_price_bound_and_reasons(solve, capsys):
    case = small(1)
    plan = solve(case, seconds=5)
    report = check(case, plan)
    assert report.faults == []
    assert plan["total"] == pytest.approx(report.total, abs=0.01)
    assert plan["total"] == pytest.approx(sum(plan["cost"].values()), abs=0.01)
    assert plan["bound"] <= plan["total"] + 1e-4
    assert plan["gap"] == pytest.approx((plan["total"] - plan["bound"]) / plan["total"], abs=1e-6)
    assert plan["stopped"] == "optimal"
    assert all(a["why"] for a in plan["assignments"])
    assert "above the cheapest possible" in capsys.readouterr().out


def test_second_persons_and_last_days_are_written(solve):
    case = small(1, machines=2, days=6)
    case["tasks"][0] |= {"second": {"skill": "general", "hours": 1.0}, "overdue_cost_per_day": 90.0}
    case["tasks"][2] |= {"several_days": True, "hours": 9.0, "overdue_cost_per_day": 90.0}
    plan = solve(case, seconds=5)
    assert check(case, plan).faults == []
    rows = {a["task"]: a for a in plan["assignments"]}
    assert rows["t0"]["second"] in {"w0", "w1"} - {rows["t0"]["mechanic"]}
    assert rows["t2"]["last_day"] > rows["t2"]["day"]
    assert all("second" not in rows[name] for name in rows if name != "t0")
    assert plan["stopped"] == "optimal"


def test_the_time_is_kept(solve):
    case = yard(machines=120, mechanics=3, days=28, seed=4)

    def timed():
        started = time.monotonic()
        plan = solve(case, seconds=3)
        return plan, time.monotonic() - started

    # a second more for starting and ending
    plan, spent = first_in_time(timed, lambda one: max(one[0]["seconds"], one[1] - 1.0), 3.3)
    assert spent < 3.3 + 1.0
    assert plan["seconds"] <= 3.3


def test_several_yards_are_planned_in_processes(solve):
    case = yard(machines=10, mechanics=1, days=7, seed=1, load=0.5)
    for name in ("yards", "sites", "mechanics", "parts", "machines", "tasks"):
        case[name] += json.loads(json.dumps(case[name]).replace('"y"', '"z"'))
    rename(case)
    plan = solve(case, seconds=12, workers=2)
    assert check(case, plan).faults == []
    assert plan["stopped"] == "optimal"


def rename(case):
    """Give the second half of each list, a copy of the first, ids of its own."""
    for name in ("sites", "mechanics", "parts", "machines", "tasks"):
        for row in case[name][len(case[name]) // 2 :]:
            row["id"] += "z"
    for row in case["machines"][len(case["machines"]) // 2 :]:
        row["site"] = row["site"] and row["site"] + "z"
        for booking in row["bookings"]:
            booking["id"] += "z"
    for row in case["tasks"][len(case["tasks"]) // 2 :]:
        row["machine"] += "z"
        for part in row["parts"]:
            part["part"] += "z"


def bad_hours():
    case = small(1)
    case["tasks"][0]["hours"] = -1
    return case


@pytest.mark.parametrize(
    ("case", "sentence"),
    [
        (bad_hours(), r"tasks\[t0\].hours: -1 is below 0"),
        ("{", "is not JSON"),
        ("[]", "must be an object"),
    ],
)
def test_a_bad_instance_exits_2_with_a_sentence(solve, case, sentence):
    with pytest.raises(CommandError, match=sentence) as error:
        solve(case)
    assert error.value.returncode == 2


@pytest.mark.parametrize("options", [{"seconds": 0}, {"seconds": float("nan")}, {"workers": 0}])
def test_a_bad_option_exits_2(solve, options):
    with pytest.raises(CommandError, match="must be") as error:
        solve(small(1), **options)
    assert error.value.returncode == 2


def test_a_missing_file_exits_2(tmp_path):
    with pytest.raises(CommandError, match="cannot be read") as error:
        call_command("solve_plan", str(tmp_path / "none.json"), out=str(tmp_path / "plan.json"))
    assert error.value.returncode == 2


def test_an_output_that_cannot_be_written_exits_2(tmp_path):
    source = tmp_path / "instance.json"
    source.write_text(json.dumps(small(1)), encoding="utf-8")
    with pytest.raises(CommandError, match="cannot be written") as error:
        call_command("solve_plan", str(source), out=str(tmp_path), workers=1)
    assert error.value.returncode == 2


def test_limits_that_clash_exit_3_and_the_best_plan_is_written(solve, tmp_path):
    case = small(1)
    for task in case["tasks"]:
        task["limit_day"] = 0
    with pytest.raises(CommandError, match="No plan keeps every limit") as error:
        solve(case, seconds=5)
    plan = json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))
    assert error.value.returncode == 3
    assert plan["clashes"]
    assert {c["task"] for c in plan["clashes"]} <= {t["id"] for t in case["tasks"]}
    assert check(case, plan).rules() == {"limit"}
