import json

import pytest

from scheduling.core.planner import Assignment, Clash, Result
from scheduling.core.planner.plan.cost import TERMS


def result(**fields):
    cost = dict.fromkeys(TERMS, 0.0) | {"visit": 60.0, "waste": 40.0}
    usual = {
        "assignments": (Assignment("t", 2, "w", "Because."),),
        "deferred": ("u",),
        "blocked_bookings": ("b",),
        "cost": cost,
        "bound": 90.0,
        "seconds": 1.23456,
        "stopped": "time",
    }
    return Result(**(usual | fields))


def test_total_and_gap_follow_from_cost_and_bound():
    assert result().total == 100.0
    assert result().gap == pytest.approx(0.1)
    assert result(cost=dict.fromkeys(TERMS, 0.0), bound=0.0).gap == 0.0


def test_the_plan_is_written_in_its_format():
    plan = json.loads(json.dumps(result().to_dict()))
    assert plan["assignments"] == [{"task": "t", "day": 2, "mechanic": "w", "why": "Because."}]
    assert (plan["deferred"], plan["blocked_bookings"]) == (["u"], ["b"])
    assert list(plan["cost"]) == list(TERMS)
    assert (plan["total"], plan["bound"], plan["stopped"]) == (100.0, 90.0, "time")
    assert "clashes" not in plan


def test_a_clash_makes_the_plan_unfeasible_and_is_written():
    broken = result(clashes=(Clash("t", "limit_day 1", "day 0: closed"),), fewest=False)
    assert not broken.feasible
    assert broken.to_dict()["clashes"] == [
        {"task": "t", "limit": "limit_day 1", "reason": "day 0: closed", "ways_out": []}
    ]
    assert broken.to_dict()["fewest_proven"] is False
