"""Changes to a case of which it is known what they do to the least cost."""

from copy import deepcopy

from tests.benchmarks.plan_instances import plain_mechanic


def an_hour_more(case):
    for mechanic in case["mechanics"]:
        mechanic["hours"] = [h + 1 if h else 0.0 for h in mechanic["hours"]]


def more_overtime(case):
    for mechanic in case["mechanics"]:
        mechanic["overtime_limit_hours"] += 1


def cheaper_overtime(case):
    for mechanic in case["mechanics"]:
        mechanic["overtime_cost_per_hour"] /= 2


def half_a_bay_more(case):
    case["yards"][0]["bays"] += 0.5


def another_mechanic(case):
    days = case["horizon_days"]
    case["mechanics"].append(plain_mechanic("w9", [4.0] * days, skills=["general", "wires"]))


def another_skill(case):
    for mechanic in case["mechanics"]:
        mechanic["skills"] = ["general", "wires"]


def a_part_more(case):
    case["parts"][0]["on_hand"] += 1


def earlier_parts(case):
    for arrival in case["parts"][0]["arrivals"]:
        arrival["day"] = max(0, arrival["day"] - 1)


def nothing_closed(case):
    case["yards"][0]["closed_days"] = []


def no_bookings(case):
    for machine in case["machines"]:
        machine["bookings"] = []


def a_task_less(case):
    case["tasks"].pop()


def nothing_keeps_in(case):
    for task in case["tasks"]:
        task["blocks_rental"] = False


MORE_ROOM = [
    an_hour_more,
    more_overtime,
    cheaper_overtime,
    half_a_bay_more,
    another_mechanic,
    another_skill,
    a_part_more,
    earlier_parts,
    nothing_closed,
    no_bookings,
    a_task_less,
    nothing_keeps_in,
]


def renamed(case, order):
    """The same shop with other ids, its lists in another order."""
    other = deepcopy(case)
    for name in ("machines", "tasks", "mechanics"):
        order.shuffle(other[name])
    for row in other["mechanics"]:
        row["id"] = f"a{row['id']}"
    for row in other["machines"]:
        row["id"] = f"{9 - int(row['id'][1:])}m"
    for task in other["tasks"]:
        task["machine"] = f"{9 - int(task['machine'][1:])}m"
        task["id"] = f"{9 - int(task['id'][1:])}t"
        for spot in (task["previous"], task["pin"]):
            if spot and spot["mechanic"]:
                spot["mechanic"] = f"a{spot['mechanic']}"
    return other


MONEY = {
    "goodwill_cost",
    "change_cost",
    "trip_cost",
    "overtime_cost_per_hour",
    "cost",
    "day_rate",
    "value",
    "visit_cost",
    "overdue_cost_per_day",
    "waste_cost_per_day",
}


def scaled(value, factor, name=""):
    """The instance with every amount of money multiplied."""
    if isinstance(value, dict):
        return {key: scaled(item, factor, key) for key, item in value.items()}
    if isinstance(value, list):
        return [scaled(item, factor) for item in value]
    return value * factor if name in MONEY else value


def shifted(case, days):
    """The same case after a closed stretch of `days`."""
    late = deepcopy(case)
    late["horizon_days"] += days
    late["frozen_days"] += days if case["frozen_days"] else 0
    late["yards"][0]["closed_days"] = [
        *range(days),
        *(d + days for d in case["yards"][0]["closed_days"]),
    ]
    for mechanic in late["mechanics"]:
        mechanic["hours"] = [0.0] * days + mechanic["hours"]
    for part in late["parts"]:
        for arrival in part["arrivals"]:
            arrival["day"] += days
    for machine in late["machines"]:
        usual = sum(machine["demand"]) / len(machine["demand"])
        machine["demand"] = [usual] * days + machine["demand"]
        for booking in machine["bookings"]:
            booking["first_day"] += days
            booking["last_day"] += days
    for task in late["tasks"]:
        task["due"] = {point: day + days for point, day in task["due"].items()}
        dated = [name for name in ("limit_day", "not_before") if task.get(name) is not None]
        task |= {name: task[name] + days for name in dated}
        for spot in (task["previous"], task["pin"]):
            if spot:
                spot["day"] += days
    return late
