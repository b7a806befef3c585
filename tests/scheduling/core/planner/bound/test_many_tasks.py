"""A machine with more tasks than sets of them can be offered: the bound, which splits it, holds."""

import pytest

from scheduling.core.planner.bound.bound import raise_bound, start_bound
from tests.benchmarks.plan_instances import (
    WEIGHTS,
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import plan, yard_case

BOOKING = {"id": "b", "first_day": 1, "last_day": 2, "value": 100.0}


def shop(count=8, additions=None, bookings=(), best=3.0):
    """Eight tasks of one machine, best done together on day 3 (or `best`), in the only bay."""
    rates = {"overdue_cost_per_day": 10.0, "waste_cost_per_day": 10.0, "blocks_rental": True}
    tasks = [plain_task(f"t{n}", "m", 1.0, best, **rates) for n in range(count)]
    for n, more in (additions or {}).items():
        tasks[n] |= more
    case = instance(
        6,
        yards=[plain_yard(bays=1)],
        mechanics=[plain_mechanic(n, [0.0] + [8.0] * 5) for n in ("ann", "ben")],
        machines=[plain_machine("m", 6, visit_cost=7.0, bookings=list(bookings))],
        tasks=tasks,
    )
    weights = {"half_day_hours": 2.0, "deferred_days": 30, "deferred_visit_share": 1.0}
    return case | {"weights": free_weights() | weights}


def together(day, count=8, **more):
    return [{"task": f"t{n}", "day": day, "mechanic": "ann"} | more for n in range(count)]


LONG = {"several_days": True, "hours": 13.0}
TWO = {"second": {"skill": "general", "hours": 1.0}}

KNOWN = [
    ("one bay", shop(), together(3), []),
    ("a lost booking", shop(bookings=[BOOKING], best=2.75), together(3), ["b"]),
    ("a second person", shop(additions={2: TWO}), together(3, second="ben"), []),
    ("over several days", shop(additions={2: LONG}), together(2, last_day=4), []),
    (
        "a chain",
        shop(additions={n: {"after": [f"t{n - 1}"]} for n in range(1, 8)}),
        together(3),
        [],
    ),
]


@pytest.mark.parametrize(
    ("case", "rows", "lost"), [k[1:] for k in KNOWN], ids=[k[0] for k in KNOWN]
)
def test_the_bound_is_not_above_a_plan_that_is_known(case, rows, lost):
    known = check(case, {"assignments": rows, "deferred": [], "blocked_bookings": lost})
    assert known.faults == []
    bound = start_bound(*yard_case(case))
    raise_bound(bound, 200, 1e9, lambda: False)
    assert bound.value <= known.total + 1e-6
    result = plan(case, 2.0)
    assert check(case, result.to_dict()).faults == []
    assert result.total <= known.total + 1e-6


def test_those_that_keep_apart_come_on_different_days():
    rules = {n: {"apart": [f"t{n - 1}"]} for n in range(1, 8)}
    case = shop(additions=rules) | {"weights": dict(WEIGHTS)}
    result = plan(case, 2.0)
    assert check(case, result.to_dict()).faults == []
    assert len({a.day for a in result.assignments}) > 1
