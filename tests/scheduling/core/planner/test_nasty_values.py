"""Whatever stands in a field: a sentence that names it, or a sound plan; never anything else."""

import time
from copy import deepcopy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.core.planner import InstanceError, RunLimits, read_problem, solve
from tests.benchmarks.plan_instances import small, yard
from tests.plan_check import check
from tests.scheduling.core.planner.drawn import OWN_RULES

SMALL = [0, 1, 0.5, 7, -1, -46_000.25, 200, True, None, "", "x", "w0", "t1", [], {}, [None]]
EXTREME = [1e9, 1e10, 1e308, -1e308, 5e-324, float("inf"), float("nan"), 10**30, -(10**400)]


def ways_into(value, way=()):
    """Every field of an instance, as the steps that lead to it."""
    if isinstance(value, dict | list):
        for step, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield (*way, step)
            yield from ways_into(item, (*way, step))


def base(seed: int) -> dict:
    """A case in which every kind of field is filled."""
    case = deepcopy(small(seed) if seed < 6 else yard(6, 1, 6, seed))
    case["tasks"][0]["pin"] = {"day": 1, "mechanic": None}
    case["tasks"][1]["previous"] = {"day": 1, "mechanic": "w0"}
    return case | {"frozen_days": 1} if seed % 3 else with_additions(case)


def with_additions(case: dict) -> dict:
    """The same case with what may be left out of the format."""
    days = case["horizon_days"]
    case["yards"][0]["loaned_bays"] = [1, *[0] * (days - 1)]
    case["sites"][0]["closed_days"] = [days - 1]
    case["mechanics"][0]["extra_overtime_hours"] = [1.0, *[0.0] * (days - 1)]
    for part in case["parts"]:
        for arrival in part["arrivals"]:
            arrival["latest_day"] = arrival["day"] + 1
    for task in case["tasks"]:
        mates = [t["id"] for t in case["tasks"] if t["machine"] == task["machine"]]
        earlier = mates[: mates.index(task["id"])]
        task |= {"after": earlier[:1], "apart": earlier[1:2], "several_days": bool(earlier)}
        task["not_before"] = 0
    case["tasks"][-1]["second"] = {"skill": "general", "hours": 1.0}
    return case


@st.composite
def spoiled(draw) -> dict:
    """A sound case with one or two fields replaced."""
    case = base(draw(st.integers(0, 8)))
    for _ in range(draw(st.integers(1, 2))):
        *steps, last = draw(st.sampled_from(list(ways_into(case))))
        row = case
        for step in steps:
            row = row[step]
        row[last] = deepcopy(draw(st.sampled_from(SMALL + EXTREME)))
    return case


@settings(max_examples=200, deadline=None, derandomize=True)
@given(spoiled())
def test_a_spoiled_instance_is_refused_by_name_or_planned_soundly(case):
    try:
        problem = read_problem(case)
    except InstanceError as error:
        place, _, text = str(error).partition(": ")
        assert place.split("[")[0].split(".")[0] in {*case, "the instance"}
        assert text
        return
    result = solve(problem, RunLimits(1.0, clock=time.process_time))
    report = check(case, result.to_dict())
    assert report.rules() <= (OWN_RULES if result.clashes else set())
    assert result.total == pytest.approx(report.total, rel=1e-9, abs=0.01)
    assert result.bound <= report.total * (1 + 1e-9) + 0.01


@pytest.mark.parametrize("value", [1.1e9, -1.1e9, 10**400])
def test_a_number_that_no_shop_has_is_refused(value):
    case = small(1)
    case["tasks"][0]["due"]["p50"] = value
    with pytest.raises(InstanceError, match=r"tasks\[t0\]\.due\.p50: a number beyond 1e\+09"):
        read_problem(case)
