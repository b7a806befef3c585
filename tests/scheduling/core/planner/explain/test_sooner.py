"""A sooner day beside the plan as it stands: where, with how much overtime, at which price."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.core.planner import ConflictKind, Spot, price, read_problem, sooner
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.plan_check import check

DAYS = 4


def shop(*tasks, limit=0.0, bays=9, bookings=None, **fields):
    """One mechanic with 8 h a day at 60 an hour of overtime; the last task's machine is booked."""
    machines = [plain_machine(t["machine"], DAYS) for t in tasks]
    machines = list({m["id"]: m for m in machines}.values())
    machines[-1]["bookings"] = bookings or []
    return instance(
        DAYS,
        yards=[plain_yard(bays=bays)],
        mechanics=[
            plain_mechanic("w", [8.0] * DAYS, overtime_cost_per_hour=60.0,
                           overtime_limit_hours=limit)
        ],
        parts=fields.pop("parts", []),
        machines=machines,
        tasks=list(tasks),
    ) | {"weights": free_weights() | fields}  # fmt: skip


def task(n, hours, machine=None, **fields):
    return plain_task(
        f"t{n}", machine or f"m{n}", hours, 0.0, **{"overdue_cost_per_day": 10.0} | fields
    )


def full(last_hours=2.0, **fields):
    """Days 0 to 2 have 7 h taken each; t9 stands on day 3."""
    tasks = [*(task(n, 7.0) for n in range(3)), task(9, last_hours)]
    places = {**{f"t{n}": Spot(n, "w") for n in range(3)}, "t9": Spot(3, "w")}
    return shop(*tasks, **fields), places


def dearer(case, places, place, tasks=("t9",)):
    problem = read_problem(case)
    moved = places | dict.fromkeys(tasks, place.spot)
    return sum(price(problem, moved).values()) - sum(price(problem, places).values())


def test_a_day_with_room_is_found_in_usual_hours():
    case, places = full(last_hours=1.0)
    (place,) = sooner(read_problem(case), places, ["t9"], 3).places
    assert (place.spot, place.overtime, place.beyond) == (Spot(0, "w"), 0, 0)
    assert place.money == pytest.approx(dearer(case, places, place))
    assert place.money < 0  # three days less late


def test_overtime_that_is_allowed_says_how_much_of_it():
    case, places = full(limit=2.0)
    (place,) = sooner(read_problem(case), places, ["t9"], 3).places
    assert (place.overtime, place.beyond) == (1.0, 0)
    assert place.money == pytest.approx(dearer(case, places, place))


def test_where_nothing_else_will_do_more_overtime_than_allowed_is_named_as_such():
    case, places = full(limit=0.0)
    (place,) = sooner(read_problem(case), places, ["t9"], 3).places
    assert (place.overtime, place.beyond) == (1.0, 1.0)


def test_where_no_hours_reach_it_says_what_bars_the_last_day():
    case, places = full(last_hours=6.0)
    found = sooner(read_problem(case), places, ["t9"], 3)
    assert found.places == ()
    assert found.barred[0] == 2
    assert found.barred[1].kind == ConflictKind.HOURS_TAKEN


def test_what_has_to_come_first_and_stands_too_late_moves_with_it():
    first, then = task(1, 1.0, machine="m"), task(2, 1.0, machine="m", after=["t1"])
    case, places = shop(first, then), {"t1": Spot(2, "w"), "t2": Spot(3, "w")}
    assert sooner(read_problem(case), places, ["t2"], 2).tasks == ("t2", "t1")
    assert sooner(read_problem(case), places, ["t2"], 3).tasks == ("t2",)


def test_a_limit_that_the_plan_does_not_keep_leaves_its_work_where_it_stands():
    """Taken out of its day it would leave room that is not there."""
    late = task(0, 7.0, limit_day=1)
    case = shop(late, task(9, 2.0))
    places = {"t0": Spot(2, "w"), "t9": Spot(3, "w")}
    (place,) = sooner(read_problem(case), places, ["t9"], 3).places
    assert place.spot.day < 2


@given(
    st.lists(st.sampled_from([1.0, 2.5, 5.0, 7.5]), min_size=2, max_size=5),
    st.lists(st.integers(0, DAYS - 1), min_size=5, max_size=5),
    st.sampled_from([0.0, 1.0, 2.0]),
    st.integers(1, DAYS),
)
def test_every_place_makes_a_plan_that_holds_at_that_price(hours, days, limit, before):
    """Against the checker, which shares no code with the planner."""
    tasks = [task(n, one) for n, one in enumerate(hours)]
    case = shop(*tasks, limit=limit)
    places, used = {}, [0.0] * DAYS
    for n, (one, day) in enumerate(zip(hours, days, strict=False)):
        if used[day] + one <= 8.0 + limit:
            used[day] += one
            places[f"t{n}"] = Spot(day, "w")
    name = f"t{len(hours) - 1}"
    before = min(before, places[name].day if name in places else before)
    found = sooner(read_problem(case), places, [name], before) if before else None
    for place in found.places if found else ():
        assert place.spot.day < before
        allowed = [
            one | {"overtime_limit_hours": limit + place.beyond} for one in case["mechanics"]
        ]
        wide = case | {"mechanics": allowed}
        now, then = checked(wide, places), checked(wide, places | {name: place.spot})
        assert then.faults == []
        assert place.money == pytest.approx(then.total - now.total)


def checked(case, places):
    return check(case, {
        "assignments": [
            {"task": t, "day": spot.day, "mechanic": spot.mechanic} for t, spot in places.items()
        ],
        "deferred": [t["id"] for t in case["tasks"] if t["id"] not in places],
        "blocked_bookings": [],
    })  # fmt: skip
