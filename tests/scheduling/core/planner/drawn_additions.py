"""Cases with the additions to the format, drawn by hypothesis, and every plan of them."""

from itertools import product

from hypothesis import strategies as st

from tests.benchmarks.plan_instances import Row, instance, plain_yard
from tests.plan_check import check
from tests.scheduling.core.planner.drawn import (
    NAMES,
    OWN_RULES,
    halves,
    machines,
    mechanics,
    money,
    with_lost_bookings,
    work,
)


@st.composite
def cases_with_additions(draw, most_tasks: int = 3) -> Row:
    """A small shop with some of: loaned bays, a shut ranch, late parts, order, two, long work."""
    limits = draw(st.integers(0, 3)) == 0
    crew, days = draw(st.integers(2, 3)), draw(st.integers(2, 3))
    fleet = [draw(machines(n, days)) for n in range(draw(st.sampled_from([1, 1, 2])))]
    count = draw(st.integers(min(2, most_tasks), most_tasks))
    tasks = [draw(work(n, draw(st.sampled_from(fleet)), days, crew, limits)) for n in range(count)]
    for n, task in enumerate(tasks):
        mates = [t["id"] for t in tasks[:n] if t["machine"] == task["machine"]]
        draw(additions(task, mates))
    loans = st.lists(st.integers(-1, 1), min_size=days, max_size=days)
    late = {"day": draw(st.integers(0, days)), "quantity": 1}
    return instance(
        days,
        frozen_days=1 if limits and draw(st.booleans()) else 0,
        yards=[
            plain_yard(bays=draw(st.sampled_from([1, 1, 2])), closed=draw(rarely_a_day(days)))
            | {"loaned_bays": draw(st.none() | loans)}
        ],
        sites=[
            {"id": "ranch", "yard": "y", "travel_hours": 0.5, "trip_cost": draw(money)}
            | {"closed_days": list(draw(rarely_a_day(days)))}
        ],
        mechanics=[draw(mechanics(n, days)) for n in range(crew)],
        parts=[
            {"id": "filter", "yard": "y", "on_hand": draw(st.integers(0, 1))}
            | {"arrivals": [late | {"latest_day": draw(st.none() | st.integers(0, days))}]}
        ],
        machines=fleet,
        tasks=tasks,
    )


def rarely_a_day(days: int) -> st.SearchStrategy[tuple[int, ...]]:
    """No day, mostly, or one."""
    return st.sampled_from([(), (), *((day,) for day in range(days))])


@st.composite
def additions(draw, task: Row, mates: list[str]) -> None:
    """Give a task additions of its own; `mates` are earlier tasks of its machine."""
    task["overdue_cost_per_day"] += draw(st.sampled_from([5.0, 20.0]))
    task["skill"] = draw(st.sampled_from(["general", "general", "general", "wires"]))
    if mates and draw(st.sampled_from([True, True, False])):
        task["after"] = draw(st.lists(st.sampled_from(mates), min_size=1, max_size=2, unique=True))
    if mates and draw(st.integers(0, 2)) == 0:
        task["apart"] = [draw(st.sampled_from(mates))]
    if task.get("limit_day") is None and draw(st.integers(0, 3)) == 0:
        task["not_before"] = draw(st.integers(0, 3))
    kind = draw(st.sampled_from(["second", "long", "both", "neither"]))
    if kind in ("second", "both"):
        skill = draw(st.sampled_from(["general", "general", "wires"]))
        task["second"] = {"skill": skill, "hours": draw(halves)}
    if kind in ("long", "both"):
        task |= {"several_days": True, "hours": draw(st.sampled_from([5.0, 2.0, 4.0, 8.0]))}


def every_plan(case: Row):
    """Every plan that the places and second persons allow, with the bookings it must give up."""
    names = [m["id"] for m in case["mechanics"]]
    days = range(case["horizon_days"])
    options = [
        [None, *product(days, names, names if t.get("second") else [None])] for t in case["tasks"]
    ]
    for chosen in product(*options):
        pairs = list(zip(case["tasks"], chosen, strict=True))
        made = [assignment(t["id"], *spot) for t, spot in pairs if spot]
        waiting = [t["id"] for t, spot in pairs if not spot]
        plan = {"assignments": made, "deferred": waiting, "blocked_bookings": []}
        yield with_lost_bookings(case, plan)


def assignment(task: str, day: int, mechanic: str, second: str | None) -> Row:
    row = {"task": task, "day": day, "mechanic": mechanic}
    return row if second is None else row | {"second": second}


def best_with_additions(case: Row) -> tuple[int, float]:
    """Return the fewest tasks that must break a rule of their own, and the least cost then."""
    best = (len(case["tasks"]) + 1, float("inf"))
    for plan in every_plan(case):
        report = check(case, plan)
        if report.rules() <= OWN_RULES:
            broken = {word for fault in report.faults for word in fault.split() if word in NAMES}
            best = min(best, (len(broken), report.total))
    return best
