"""Shops that are empty, impossible or out of all proportion: a plan or a named clash, in time."""

import gc
import time

import pytest

from scheduling.wording import clash_reason, limit_words
from tests.benchmarks.plan_instances import (
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.plan_check import check
from tests.scheduling.core.planner.cases import IDS, plan

SECONDS = 2.0
RATES = {"overdue_cost_per_day": 10.0, "waste_cost_per_day": 2.0}


def shop(days, tasks, **changes):
    """One mechanic, and machines as the tasks name them."""
    names = dict.fromkeys(t["machine"] for t in tasks)
    lists = {
        "yards": [plain_yard(bays=2)],
        "mechanics": [plain_mechanic(n, [8.0] * days) for n in ("ann", "ben")],
        "machines": [plain_machine(name, days, visit_cost=5.0) for name in names],
        "tasks": tasks,
    }
    return instance(days, **lists | changes)


def task(name, machine="m", hours=2.0, due=1.0, **fields):
    return plain_task(name, machine, hours, due, **RATES | fields)


def long(**fields):
    return task("t", hours=30.0, several_days=True, **fields)


def two(skill, **fields):
    return task("t", second={"skill": skill, "hours": 1.0}, **fields)


def pinned(name, day, mechanic=None, **fields):
    return task(name, pin={"day": day, "mechanic": mechanic}, **fields)


NOBODY = [plain_mechanic("ann", [8.0] * 3), plain_mechanic("ben", [0.0] * 3)]

CLASHES = [
    ("no bays", shop(3, [task("t", limit_day=1)], yards=[plain_yard(bays=0)]), "there is no bay"),
    (
        "all bays lent away",
        shop(3, [task("t", limit_day=1)], yards=[plain_yard(bays=1) | {"loaned_bays": [-1] * 3}]),
        "there is no bay",
    ),
    ("no mechanics", shop(3, [task("t", limit_day=1)], mechanics=[]), "nobody at yard y can do it"),
    ("no skill", shop(3, [task("t", limit_day=1, skill="welding")]), "skill welding"),
    ("no second", shop(3, [two("welding", limit_day=1)]), "nobody else has the skill welding"),
    (
        "only oneself",
        shop(3, [two("general", limit_day=1)], mechanics=NOBODY[:1]),
        "it takes two people, and nobody else has the skill general",
    ),
    (
        "second away",
        shop(3, [two("general", limit_day=1)], mechanics=NOBODY),
        "nobody else with the skill general is working",
    ),
    ("too long", shop(3, [long(limit_day=2)]), "30 h would not be done by day 2"),
    (
        "past its limit",
        shop(9, [long(limit_day=2)]),
        "would go on until day 3, and it has to be done by day 2",
    ),
    (
        "into a booking",
        shop(
            5,
            [long(limit_day=4)],
            machines=[
                plain_machine(
                    "m",
                    5,
                    bookings=[{"id": "b", "first_day": 2, "last_day": 9, "value": 1.0}],
                )
            ],
        ),
        "when the machine is booked out (b)",
    ),
    ("too long for a day", shop(3, [task("t", hours=9.0, limit_day=1)]), "ann works only 8 h"),
    ("two pins, one mechanic", shop(3, [pinned("t", 1, "ann"), pinned("u", 1, "ben")]), "pin"),
    (
        "too much pinned",
        shop(3, [pinned(f"t{n}", 1, "ann", machine=f"m{n}", hours=5.0) for n in range(2)]),
        "ann has 5 of 8 h taken",
    ),
    (
        "pinned before its forerunner",
        shop(3, [pinned("t", 1), pinned("u", 0, after=["t"])]),
        "come",
    ),
    (
        "nobody there for a forerunner without a limit",
        shop(3, [task("t", skill="welding"), task("u", limit_day=1, after=["t"])]),
        "t has to come first, and has no place in this plan",
    ),
    ("pinned apart on a day", shop(3, [pinned("t", 1), pinned("u", 1, apart=["t"])]), "pin"),
    (
        "no part before the limit",
        shop(
            3,
            [task("t", limit_day=1, parts=[{"part": "p", "quantity": 1}])],
            parts=[
                {"id": "p", "yard": "y", "on_hand": 0}
                | {"arrivals": [{"day": 0, "latest_day": 2, "quantity": 1}]}
            ],
        ),
        "p may not arrive until day 2",
    ),
    ("limit in the past", shop(3, [task("t", limit_day=-46000)]), "no day is left"),
]


@pytest.mark.parametrize(("case", "words"), [c[1:] for c in CLASHES], ids=[c[0] for c in CLASHES])
def test_what_cannot_be_kept_is_a_clash_with_the_reason(case, words):
    result = plan(case, SECONDS)
    assert len(result.clashes) == 1
    clash = result.clashes[0]
    assert words in f"{limit_words(clash.limit, IDS)}: {clash_reason(clash, IDS)}"
    report = check(case, result.to_dict())
    assert report.rules() <= {"limit", "pin", "frozen"}
    assert any(clash.task in fault for fault in report.faults)


WAITING = [
    ("no bays", shop(3, [task("t")], yards=[plain_yard(bays=0)])),
    ("no mechanics", shop(3, [task("t")], mechanics=[])),
    ("no skill", shop(3, [task("t", skill="welding")])),
    ("no second", shop(3, [two("welding")])),
    ("longer than the horizon", shop(3, [long()])),
    ("everybody away", shop(3, [task("t")], mechanics=[plain_mechanic("ann", [0.0] * 3)])),
    (
        "what comes after such a task",
        shop(3, [task("a", skill="welding"), task("b", after=["a"]), task("c", after=["b"])]),
    ),
]


@pytest.mark.parametrize("case", [c[1] for c in WAITING], ids=[c[0] for c in WAITING])
def test_what_nobody_can_do_is_put_off(case):
    result = plan(case, SECONDS)
    assert result.feasible
    assert set(result.deferred) == {t["id"] for t in case["tasks"]}
    assert check(case, result.to_dict()).faults == []
    assert result.stopped == "optimal"


def many(count, additions):
    """A machine with `count` tasks, with or without rules among them."""
    tasks = [task(f"t{n}", hours=1.0, due=float(n % 9)) for n in range(count)]
    if additions:
        for n in range(1, count):
            tasks[n]["after"] = [f"t{n - 1}"] if n % 3 else []
            tasks[n]["apart"] = [f"t{n - 1}"] if n % 5 == 0 else []
        tasks[4]["second"] = {"skill": "general", "hours": 1.0}
        tasks[7] |= {"several_days": True, "hours": 12.0}
    return shop(12, tasks)


def ancient():
    case = small(3)
    for row in case["tasks"]:
        row["due"] = {"p10": -46001.0, "p50": -46000.0, "p90": -45999.0}
    return case


def huge_numbers():
    case = small(4)
    case["machines"][0]["day_rate"] = 1e9
    case["tasks"][0]["overdue_cost_per_day"] = 1e9
    return case


def fine_hours():
    """Hours that fit no tick, one of them in work over several days."""
    case = small(5)
    for n, row in enumerate(case["tasks"]):
        row["hours"] = 1.0 + n / 7.0
    case["tasks"][0] |= {"several_days": True, "hours": 17.0 / 3.0}
    return case


SOUND = [
    ("empty", instance(5)),
    ("nothing to do", shop(5, [])),
    ("one day", yard(10, 1, 1, seed=1)),
    ("two hundred days", yard(30, 2, 200, seed=1, load=0.4)),
    ("twenty tasks on a machine", many(20, False)),
    ("twenty tasks with rules among them", many(20, True)),
    ("seven tasks with rules among them", many(8, True)),
    ("due in 1900", ancient()),
    ("huge numbers", huge_numbers()),
    ("hours that fit no tick", fine_hours()),
    ("no demand and no rates", shop(3, [plain_task("t", "m", 1.0, 1.0)])),
    ("work without hours", shop(3, [task("t", hours=0.0)])),
]


LONGEST = 1.1 * SECONDS + 0.2


def timed(case):
    """Return the seconds that a plan took, and the plan.

    By the clock, since two threads plan; by the processor where that is less, since on a busy
    machine the clock counts what others do.
    """
    gc.collect()
    clock, processor = time.monotonic(), time.process_time()
    result = plan(case, SECONDS)
    return min(time.monotonic() - clock, time.process_time() - processor), result


@pytest.mark.parametrize("case", [c[1] for c in SOUND], ids=[c[0] for c in SOUND])
def test_an_odd_shop_gets_a_sound_plan_in_time(case):
    for row in case["tasks"]:
        row["limit_day"] = None
    spent, result = timed(case)
    if spent > LONGEST:  # what a process has heaped up before, or its other threads, may cost once
        spent, result = timed(case)
    assert spent <= LONGEST
    report = check(case, result.to_dict())
    assert report.faults == []
    assert report.total == pytest.approx(result.total, rel=1e-9, abs=0.01)
    assert result.bound <= result.total * (1 + 1e-9) + 1e-6
