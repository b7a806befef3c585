"""When is work pulled forward into an earlier visit?  When that saves more than the interval lost.

Two tasks of one machine fall due g days apart.  Done together on the first one's day, the second
wastes g days of its interval; done apart, it costs a visit, its set-ups and half a day of rental.
"""

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.scheduling.core.planner.cases import plan

DAYS = 20
whole = st.integers(0, 60).map(float)


def two_tasks(apart, waste, visit, setup, rental, hours=9.0):
    """Both tasks need the same set-up, which a visit pays once."""
    tasks = [
        plain_task(f"t{n}", "m", 1.0, 3.0 + n * apart, setups=["jack"], waste_cost_per_day=waste)
        | {"overdue_cost_per_day": 500.0}
        for n in range(2)
    ]
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [hours] * DAYS)],
        machines=[
            plain_machine("m", DAYS, visit_cost=visit, day_rate=4 * rental, demand=[0.5] * DAYS)
        ],
        setups=[{"id": "jack", "hours": 0.0, "cost": setup}],
        tasks=tasks,
    )
    return case | {"weights": free_weights() | {"deferred_days": 7}}


def visits(case):
    result = plan(case)
    assert result.stopped == "optimal"
    assert not result.deferred
    return len({a.day for a in result.assignments})


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    apart=st.integers(1, 14),
    waste=st.integers(1, 12).map(float),
    visit=whole,
    setup=whole,
    rental=whole,
)
def test_two_tasks_share_a_visit_exactly_when_it_saves_more_than_it_wastes(
    apart, waste, visit, setup, rental
):
    saved, lost = visit + setup + rental, apart * waste
    assume(saved != lost)
    assert visits(two_tasks(apart, waste, visit, setup, rental)) == (1 if lost < saved else 2)


def test_a_cent_on_either_side_of_the_break_even_decides():
    """Six days of 5 are 30: a visit, set-up and rental worth 30.01 are saved, 29.99 are not."""
    assert visits(two_tasks(6, 5.0, 10.0, 12.0, 8.01)) == 1
    assert visits(two_tasks(6, 5.0, 10.0, 12.0, 7.99)) == 2


def test_no_visit_is_shared_that_does_not_fit_the_day():
    assert visits(two_tasks(1, 1.0, 50.0, 20.0, 10.0, hours=1.5)) == 2
