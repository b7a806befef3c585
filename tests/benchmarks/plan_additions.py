"""Sprinkle the optional fields of the instance format over a case, drawn from a seed."""

from itertools import pairwise
from random import Random
from typing import Any

Row = dict[str, Any]

SHARES = {
    "loaned_bays": 0.2,
    "closed_days": 0.1,
    "latest_day": 0.4,
    "after": 0.4,
    "apart": 0.15,
    "second": 0.1,
    "several_days": 0.06,
}
"""How often each addition is made: of days, of arrivals, of tasks that could have it."""


def sprinkle(case: Row, seed: int, only: set[str] | None = None) -> Row:
    """Add some of each addition (or of those in `only`) to the case, in place; return it."""
    for n, (name, share) in enumerate(SHARES.items()):
        if only is None or name in only:
            # each addition has its own stream, so that one more changes no other
            ADDERS[name](case, share, Random(1000 * seed + n))
    return case


def _loan_bays(case: Row, share: float, rng: Random) -> None:
    for yard in case["yards"]:
        loans = [rng.choice([-1, 1]) if rng.random() < share else 0 for _ in _days(case)]
        yard["loaned_bays"] = loans


def _close_ranches(case: Row, share: float, rng: Random) -> None:
    for site in case["sites"]:
        site["closed_days"] = [day for day in _days(case) if rng.random() < share]


def _delay_parts(case: Row, share: float, rng: Random) -> None:
    for part in case["parts"]:
        for arrival in part["arrivals"]:
            if rng.random() < share:
                arrival["latest_day"] = arrival["day"] + rng.randint(1, 5)


def _order_tasks(case: Row, share: float, rng: Random) -> None:
    for tasks in _together(case):
        chain = tasks if rng.random() < 0.5 else tasks[::-1]
        for earlier, later in pairwise(chain):
            if rng.random() < share:
                later["after"] = [earlier["id"]]


def _keep_apart(case: Row, share: float, rng: Random) -> None:
    for tasks in _together(case):
        for n, task in enumerate(tasks[1:], 1):
            if rng.random() < share:
                task["apart"] = [rng.choice(tasks[:n])["id"]]


def _send_two(case: Row, share: float, rng: Random) -> None:
    skills = sorted({skill for m in case["mechanics"] for skill in m["skills"]})
    for task in case["tasks"]:
        if skills and rng.random() < share:
            task["second"] = {"skill": rng.choice(skills), "hours": rng.choice([0.5, 1.0, 1.5])}


def _lengthen(case: Row, share: float, rng: Random) -> None:
    for task in case["tasks"]:
        if rng.random() < share and task["limit_day"] is None and not task["pin"]:
            task |= {"several_days": True, "hours": rng.choice([6.0, 9.0, 14.0, 20.0])}


ADDERS = {
    "loaned_bays": _loan_bays,
    "closed_days": _close_ranches,
    "latest_day": _delay_parts,
    "after": _order_tasks,
    "apart": _keep_apart,
    "second": _send_two,
    "several_days": _lengthen,
}


def _days(case: Row) -> range:
    return range(case["horizon_days"])


def _together(case: Row) -> list[list[Row]]:
    """The tasks of each machine that has several, by due date."""
    machines: dict[str, list[Row]] = {}
    for task in sorted(case["tasks"], key=lambda t: (t["due"]["p50"], t["id"])):
        machines.setdefault(task["machine"], []).append(task)
    return [tasks for tasks in machines.values() if len(tasks) > 1]
