import json

import pytest

from scheduling.core.planner import (
    Assignment,
    Clash,
    ClashDays,
    ClashLimit,
    Conflict,
    ConflictKind,
    LimitKind,
    PlaceReason,
    Result,
)
from scheduling.core.planner.plan.cost import TERMS
from scheduling.wording import plan_file


def result(**fields):
    cost = dict.fromkeys(TERMS, 0.0) | {"visit": 60.0, "waste": 40.0}
    usual = {
        "assignments": (Assignment("t", 2, "w", reason=PlaceReason()),),
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
    plan = json.loads(json.dumps(plan_file(result())))
    why = "No other place is free for it."
    assert plan["assignments"] == [{"task": "t", "day": 2, "mechanic": "w", "why": why}]
    assert (plan["deferred"], plan["blocked_bookings"]) == (["u"], ["b"])
    assert list(plan["cost"]) == list(TERMS)
    assert (plan["total"], plan["bound"], plan["stopped"]) == (100.0, 90.0, "time")
    assert "clashes" not in plan


def test_a_clash_makes_the_plan_unfeasible_and_is_written():
    barred = ClashDays(((0, 0),), Conflict(ConflictKind.YARD_CLOSED, what="y"))
    clash = Clash("t", ClashLimit(LimitKind.LIMIT, 1), (barred,))
    broken = result(clashes=(clash,), fewest=False)
    assert not broken.feasible
    words = {"limit": "hard limit on day 1", "reason": "day 0: yard y is closed"}
    assert plan_file(broken)["clashes"] == [{"task": "t", **words, "ways_out": []}]
    assert plan_file(broken)["fewest_proven"] is False
