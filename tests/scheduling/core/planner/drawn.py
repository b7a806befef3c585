"""Cases drawn by hypothesis, small enough that every plan can be tried.

All numbers are chosen so that sums are exact: hours in halves, days in quarters, whole money.
"""

from itertools import product

from hypothesis import strategies as st

from tests.benchmarks.plan_instances import (
    Row,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
)
from tests.plan_check import check

OWN_RULES = {"limit", "pin", "frozen"}
"""Rules that a plan may have to give up; all others are kept whatever happens."""

quarters = st.integers(-12, 24).map(lambda n: n / 4)
halves = st.integers(1, 6).map(lambda n: n / 2)
money = st.integers(0, 9).map(float)


@st.composite
def cases(draw, most_tasks: int = 4, limits: bool = True) -> Row:
    """A shop of one or two mechanics, up to `most_tasks` tasks and three days."""
    crew = draw(st.integers(1, 2))
    days = draw(st.integers(1, 3 if crew == 1 else 2))
    fleet = [draw(machines(n, days)) for n in range(draw(st.integers(1, 2)))]
    count = draw(st.integers(1, most_tasks))
    tasks = [draw(work(n, draw(st.sampled_from(fleet)), days, crew, limits)) for n in range(count)]
    return instance(
        days,
        frozen_days=draw(st.integers(0, min(1, days - 1))) if limits else 0,
        yards=[
            plain_yard(
                bays=draw(st.sampled_from([0.5, 1, 2])),
                closed=tuple(draw(st.sets(st.integers(0, days - 1), max_size=1))),
            )
        ],
        sites=[{"id": "ranch", "yard": "y", "travel_hours": 0.5, "trip_cost": draw(money)}],
        mechanics=[draw(mechanics(n, days)) for n in range(crew)],
        parts=[
            {
                "id": "filter",
                "yard": "y",
                "on_hand": draw(st.integers(0, 1)),
                "arrivals": [{"day": draw(st.integers(0, days)), "quantity": 1}],
            }
        ],
        machines=fleet,
        tasks=tasks,
    )


@st.composite
def mechanics(draw, n: int, days: int) -> Row:
    """A mechanic with short days, so that work competes for them."""
    hours = draw(st.lists(st.sampled_from([0.0, 2.0, 3.0, 4.0]), min_size=days, max_size=days))
    skills = ["general", *(["wires"] if draw(st.booleans()) else [])]
    over = draw(st.sampled_from([0.0, 1.0]))
    row = plain_mechanic(f"w{n}", hours, skills=skills, overtime_limit_hours=over)
    return row | {"overtime_cost_per_hour": draw(money)}


@st.composite
def machines(draw, n: int, days: int) -> Row:
    """A machine, at the ranch or not, with at most one booking."""
    first = draw(st.integers(0, days))
    last, value = first + draw(st.integers(0, 2)), 5 * draw(money)
    booking = {"id": f"b{n}", "first_day": first, "last_day": last, "value": value}
    return plain_machine(
        f"m{n}",
        days,
        site="ranch" if draw(st.booleans()) else None,
        day_rate=4 * draw(money),
        demand=draw(st.lists(st.sampled_from([0.25, 0.5, 1.0]), min_size=days, max_size=days)),
        bookings=[booking] if draw(st.booleans()) else [],
        visit_hours=0.5,
        visit_cost=2 * draw(money),
    )


@st.composite
def work(draw, n: int, machine: Row, days: int, crew: int, limits: bool) -> Row:
    """A task; with `limits` it may have a limit, a pin and a place in the plan before."""
    p50 = draw(quarters)
    points = {"p10": p50 - abs(draw(quarters)), "p50": p50, "p90": p50 + abs(draw(quarters))}
    places = st.fixed_dictionaries(
        {
            "day": st.integers(0, days - 1),
            "mechanic": st.sampled_from([f"w{w}" for w in range(crew)]),
        }
    )
    task = plain_task(f"t{n}", machine["id"], draw(halves), 0.0)
    task |= {
        "skill": draw(st.sampled_from(["general", "general", "general", "wires"])),
        "due": points,
        "overdue_cost_per_day": draw(money),
        "waste_cost_per_day": draw(money),
        "setups": draw(st.lists(st.sampled_from(["jack", "empty"]), max_size=2, unique=True)),
        "parts": [{"part": "filter", "quantity": 1}] if draw(st.booleans()) else [],
        "blocks_rental": draw(st.booleans()),
        "previous": draw(st.none() | places),
    }
    if limits and draw(st.integers(0, 3)) == 0:
        task["limit_day"] = draw(st.integers(0, days))
    if limits and task["limit_day"] is None and draw(st.integers(0, 4)) == 0:
        pin = {"day": draw(st.integers(0, days - 1)), "mechanic": None}
        task |= {"pin": pin, "previous": None}
    return task


def plans(case: Row):
    """Every plan that the places allow, with the bookings that it must give up."""
    spots = [None, *product(range(case["horizon_days"]), [m["id"] for m in case["mechanics"]])]
    names = [task["id"] for task in case["tasks"]]
    for chosen in product(spots, repeat=len(names)):
        places = [(t, s) for t, s in zip(names, chosen, strict=True) if s]
        yield with_lost_bookings(
            case,
            {
                "assignments": [{"task": t, "day": d, "mechanic": w} for t, (d, w) in places],
                "deferred": [t for t, s in zip(names, chosen, strict=True) if not s],
                "blocked_bookings": [],
            },
        )


def with_lost_bookings(case: Row, plan: Row) -> Row:
    """Give up the bookings with which the checker finds fault."""
    faults = [f.split(": ")[1] for f in check(case, plan).faults if f.startswith("blocked: ")]
    return plan | {"blocked_bookings": [fault.split()[0] for fault in faults]}


def best_by_trying(case: Row) -> tuple[int, float]:
    """Return the fewest tasks that must break a rule of their own, and the least cost then.

    No other rule is ever broken.  Where some must break, the cost is that of the cheapest of the
    plans that break the fewest.
    """
    best = (len(case["tasks"]) + 1, float("inf"))
    for plan in plans(case):
        report = check(case, plan)
        if report.rules() <= OWN_RULES:
            broken = {word for fault in report.faults for word in fault.split() if word in NAMES}
            best = min(best, (len(broken), report.total))
    return best


NAMES = {f"t{n}" for n in range(9)}
