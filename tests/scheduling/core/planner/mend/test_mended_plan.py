"""A mended plan: as few moves as the break takes, against every plan there is in small shops."""

import copy
import json
import time
from itertools import product
from operator import attrgetter

import numpy as np
import pytest

from scheduling.core.planner import RunLimits, mend, read_problem
from scheduling.core.planner.problem.entities import Spot
from scheduling.wording import clash_reason, limit_words
from tests.benchmarks.plan_additions import sprinkle
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    small,
    yard,
)
from tests.in_time import first_in_time
from tests.plan_check import check
from tests.scheduling.core.planner.cases import IDS, plan, why_moved
from tests.scheduling.core.planner.test_brute_force import HEAVY, spread, use


def standing(case, result):
    """The case with the plan's places as what stands."""
    spots = {a.task: {"day": a.day, "mechanic": a.mechanic} for a in result.assignments}
    stood = [t | {"previous": spots.get(t["id"])} for t in case["tasks"]]
    return copy.deepcopy(case | {"tasks": stood})


def mended(case, seconds=20.0, **options):
    limits = RunLimits(seconds, clock=time.process_time)
    return mend(read_problem(case), limits, **options)


def faults(case, found):
    """What the independent checker finds against the plan; the frozen days may change in a mend."""
    report = check(case | {"frozen_days": 0}, found.result.to_dict())
    assert report.total == pytest.approx(found.cost_after, abs=0.01)
    return report.faults


def moved(case, places):
    """How many tasks are not where they stood, told from the dictionaries alone."""
    count = 0
    for task in case["tasks"]:
        spot, before = places.get(task["id"]), task["previous"]
        now = None if spot is None else {"day": spot.day, "mechanic": spot.mechanic}
        count += now != before
    return count


def charges(case, places):
    """How many times the price of a move is due: once a move, once more for each frozen end."""
    count = 0
    for task in case["tasks"]:
        spot, before = places.get(task["id"]), task["previous"]
        now = None if spot is None else {"day": spot.day, "mechanic": spot.mechanic}
        if now != before:
            count += 1 + sum(
                s is not None and s["day"] < case["frozen_days"] for s in (now, before)
            )
    return count


def ways(case, machine, price):
    """Each way to plan one machine: money with its moves, hours, half bays, parts."""
    tasks = [t for t in case["tasks"] if t["machine"] == machine["id"]]
    alone = case | {"machines": [machine], "tasks": tasks}
    names = [m["id"] for m in case["mechanics"]]
    spots = [None, *product(range(case["horizon_days"]), range(len(names)))]
    for chosen in product(spots, repeat=len(tasks)):
        done = [(t, s) for t, s in zip(tasks, chosen, strict=True) if s]
        places = {t["id"]: Spot(d, names[w]) for t, (d, w) in done}
        rows = [{"task": t, "day": s.day, "mechanic": s.mechanic} for t, s in places.items()]
        waiting = [t["id"] for t in tasks if t["id"] not in places]
        bookings = [b["id"] for b in machine["bookings"]]
        for lost in ([], bookings) if bookings else ([],):
            made = {"assignments": rows, "deferred": waiting, "blocked_bookings": lost}
            report = check(alone | {"frozen_days": 0}, made)
            if not report.faults:
                money = report.total - report.cost["overtime"]
                yield money + price * charges(alone, places), *use(case, machine, done)


def cheapest(case, price):
    """The least money with `price` for each move, over every plan of three machines."""
    columns = [list(zip(*ways(case, m, price), strict=True)) for m in case["machines"]]
    money, hours, bays, parts = (spread([np.array(c[i]) for c in columns]) for i in range(4))
    regular = np.array([m["hours"] for m in case["mechanics"]]).T
    most = np.where(regular > 0, regular + 1.0, 0.0)
    over = np.maximum(0.0, hours - regular)
    money = money + over.sum(axis=(-1, -2)) * case["mechanics"][0]["overtime_cost_per_hour"]
    stock = [1.0 + sum(day >= a["day"] for a in case["parts"][0]["arrivals"]) for day in range(4)]
    broken = (hours > most + 1e-9).any(axis=(-1, -2))
    broken |= (bays > 2 * case["yards"][0]["bays"]).any(axis=-1)
    broken |= (parts > np.array(stock)).any(axis=-1)
    return np.where(broken, HEAVY, money).min()


def broken_shop(seed):
    """A small shop whose plan stands, and in which something has broken since."""
    case = standing(small(seed), plan(small(seed)))
    stood = [t for t in case["tasks"] if t["previous"]]
    task = stood[seed % len(stood)]
    day = task["previous"]["day"]
    if seed % 3 == 0:
        who = next(m for m in case["mechanics"] if m["id"] == task["previous"]["mechanic"])
        who["hours"][day] = 0.0
    elif seed % 3 == 1:
        machine = next(m for m in case["machines"] if m["id"] == task["machine"])
        booking = {"id": "longer", "first_day": day, "last_day": day, "value": 10.0}
        machine["bookings"] = [booking]
    else:
        case["parts"][0] |= {"on_hand": 1, "arrivals": [{"day": 3, "quantity": 1}]}
        task["hours"] += 1.5
    return case


@pytest.mark.parametrize("seed", range(9))
@pytest.mark.parametrize(("price", "frozen"), [(25.0, 0), (10_000.0, 0), (25.0, 2)])
def test_no_plan_has_less_money_with_a_price_on_each_move(seed, price, frozen):
    """At 10,000 a move the number of moves comes first: no plan at all moves fewer."""
    case = broken_shop(seed) | {"frozen_days": frozen}
    found = mended(case, move_price=price)
    assert faults(case, found) == []
    places = found.result.places()
    best = cheapest(case, price)
    assert best < HEAVY
    if found.kept < sum(t["previous"] is not None for t in case["tasks"]):
        assert found.cost_after + price * charges(case, places) == pytest.approx(best, abs=1e-4)
        assert found.fewest
    else:  # everything can stay, and then nothing is touched
        assert not [m for m in found.moves if m.before]
    assert found.least_moves <= len(found.moves)
    assert len(found.moves) == moved(case, places)


@pytest.fixture(scope="module")
def shop():
    case = yard(machines=200, mechanics=3, days=28, seed=1)
    return standing(case, plan(case, 4.0))


def sick(case):
    case["mechanics"][1]["hours"][:2] = [0.0, 0.0]


def late_parts(case):
    for part in case["parts"]:
        for arrival in part["arrivals"]:
            arrival["day"] += 4


def back_late(case):
    stood = next(t for t in case["tasks"] if t["previous"] and 3 < t["previous"]["day"] < 12)
    machine = next(m for m in case["machines"] if m["id"] == stood["machine"])
    day = stood["previous"]["day"]
    machine["bookings"] = [{"id": "out", "first_day": 0, "last_day": day, "value": 100.0}]


def urgent(case):
    rates = {"overdue_cost_per_day": 60.0, "blocks_rental": True}
    case["tasks"].append(plain_task("urgent", case["machines"][5]["id"], 3.0, 0.0, **rates))


@pytest.mark.parametrize("breaks", [sick, late_parts, back_late, urgent])
def test_a_shop_of_200_machines_is_mended_in_two_seconds(shop, breaks):
    case = copy.deepcopy(shop) | {"frozen_days": 1}
    breaks(case)
    found = first_in_time(lambda: mended(case, 2.0), attrgetter("seconds"), 2.2)
    assert found.seconds < 2.2
    assert faults(case, found) == []
    places = found.result.places()
    stood = {t["id"]: t["previous"] for t in case["tasks"]}
    listed = {m.task for m in found.moves}
    for name, before in stood.items():
        spot = places.get(name)
        now = spot and {"day": spot.day, "mechanic": spot.mechanic}
        assert (now != before) == (name in listed)
    assert found.kept > 0.85 * len([s for s in stood.values() if s])
    assert found.least_moves <= len(found.moves)
    assert all(why_moved(m).endswith(".") for m in found.moves)


@pytest.mark.parametrize("seed", range(5))
def test_work_in_order_by_two_and_over_days_is_mended_too(seed):
    case = sprinkle(yard(machines=30, mechanics=3, days=21, seed=seed), seed)
    case = standing(case, plan(case, 1.0))
    case["mechanics"][0]["hours"][:4] = [0.0] * 4
    found = mended(case, 1.0)
    assert found.moves
    assert faults(case, found) == []
    assert found.least_moves <= len(found.moves)
    assert {m.task for m in found.moves} >= {
        t["id"]
        for t in case["tasks"]
        if t["previous"] and t["previous"]["mechanic"] == "w0" and t["previous"]["day"] < 4
    }


def test_where_nothing_broke_nothing_moves(shop):
    found = mended(shop, 2.0)
    assert [m for m in found.moves if m.before] == []
    everything = standing(small(3), plan(small(3)))
    if all(t["previous"] for t in everything["tasks"]):
        assert mended(everything).moves == ()


DAYS = 8


def bench(*tasks, hours=None, **fields):
    """One mechanic with 8 h a day, a machine a task, no cost but those named."""
    weights = free_weights() | {"change_cost": 10.0}
    case = instance(
        DAYS,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", hours or [8.0] * DAYS), plain_mechanic("x", [0.0] * DAYS)],
        machines=[plain_machine(t["machine"], DAYS) for t in tasks],
        tasks=list(tasks),
    )
    return case | {"weights": weights} | fields


def job(n, day, hours=8.0, **fields):
    before = None if day is None else {"day": day, "mechanic": "w"}
    rates = {"overdue_cost_per_day": 1.0, "previous": before}
    return plain_task(f"t{n}", f"m{n}", hours, 1.0, **rates | fields)


def away(*days):
    return [0.0 if day in days else 8.0 for day in range(DAYS)]


def test_the_sick_days_job_goes_to_the_first_free_day_and_the_others_stay():
    """Moving one by a day each would cost the same days late; one move is enough."""
    found = mended(bench(job(0, 1), job(1, 2), job(2, 3), hours=away(1)))
    (move,) = found.moves
    assert (move.task, move.before, move.after) == ("t0", Spot(1, "w"), Spot(0, "w"))
    assert found.kept == 2
    assert found.least_moves == 1
    assert found.fewest
    assert why_moved(move).startswith("It cannot stay on day 1 with w: w is not working that day. ")


def test_another_gives_way_only_if_that_saves_more_than_the_price_of_a_move():
    """Days 0 and 4 to 7 are gone: t0 late costs 1 or 30 a day, and t1 might wait instead."""
    for rate, names in ((1.0, ["t0"]), (400.0, ["t0", "t1"])):
        case = bench(job(0, 1, overdue_cost_per_day=rate), job(1, 2), hours=away(0, 1, 3, 4, 5, 6))
        found = mended(case)
        assert [m.task for m in found.moves] == names
        assert faults(case, found) == []
    assert why_moved(found.moves[1]).startswith("It makes room on day 2 with w for t0.")


def test_a_pin_stays_and_what_broke_it_is_named():
    pinned = job(0, 1, pin={"day": 1, "mechanic": None})
    assert not mended(bench(pinned, job(1, 2))).moves
    found = mended(bench(pinned, job(1, 2), hours=away(1)))
    (clash,) = found.result.clashes
    assert (clash.task, limit_words(clash.limit, IDS)) == ("t0", "pin on day 1")
    assert "nobody with the skill general is working" in clash_reason(clash, IDS)
    assert [m.task for m in found.moves] == ["t0"]


def test_limits_come_before_moves():
    """t2 must be done by day 2 and its day is gone, so one that could stay gives way."""
    case = bench(job(0, 0), job(1, 1), job(2, 2, limit_day=2), hours=away(2))
    found = mended(case)
    assert found.result.feasible
    assert faults(case, found) == []
    assert len(found.moves) == 2


def test_the_frozen_days_are_entered_only_where_that_saves_much():
    for rate, day in ((1.0, 4), (500.0, 0)):
        case = bench(job(0, 1, overdue_cost_per_day=rate), hours=away(1, 2, 3), frozen_days=1)
        assert mended(case).moves[0].after == Spot(day, "w")


def test_a_new_job_that_is_worth_its_move_comes_in():
    """Put off to the horizon's end it costs 8 days of its rate; a move costs 30."""
    for rate, days in ((1.0, []), (20.0, [1])):
        fresh = job(1, None, overdue_cost_per_day=rate)
        found = mended(bench(job(0, 0), fresh))
        assert [m.after.day for m in found.moves] == days
    assert why_moved(found.moves[0]).startswith("It is new to the plan.")


def test_a_visit_that_lost_one_part_keeps_the_rest():
    """Both tasks stood in one visit; only the one without its part has to leave."""
    part = {"id": "p", "yard": "y", "on_hand": 0, "arrivals": [{"day": 3, "quantity": 1}]}
    short = job(1, 1, 2.0, parts=[{"part": "p", "quantity": 1}]) | {"machine": "m0"}
    case = bench(job(0, 1, 2.0), short)
    case["machines"] = case["machines"][:1]
    found = mended(case | {"parts": [part]})
    assert [(m.task, m.after.day) for m in found.moves] == [("t1", 3)]
    assert "p does not arrive until day 3" in why_moved(found.moves[0])


def test_money_before_is_that_of_the_standing_plan_and_after_that_of_the_result():
    case = bench(job(0, 1), job(1, 2), hours=away(1))
    found = mended(case)
    assert found.cost_before == pytest.approx(1.0)  # t1 stood a day late
    assert found.cost_after == pytest.approx(found.result.total)
    assert found.cost_after - found.cost_before == pytest.approx(10.0)  # one change, no day late


def test_several_yards_are_mended_apart_and_an_empty_shop_is_no_trouble():
    one = bench(job(0, 1), hours=away(1))
    other = plain_machine("far", DAYS, yard="z")
    task = plain_task("u", "far", 1.0, 1.0, previous={"day": 2, "mechanic": "z1"})
    one["yards"].append(plain_yard("z"))
    one["machines"].append(other)
    one["mechanics"].append(plain_mechanic("z1", [8.0] * DAYS, yard="z"))
    one["tasks"].append(task)
    assert [m.task for m in mended(one).moves] == ["t0"]
    assert mended(instance(DAYS)).moves == ()


def test_nobody_at_all_puts_everything_off_and_says_so():
    case = bench(job(0, 1), hours=[0.0] * DAYS)
    (move,) = mended(case).moves
    assert move.after is None
    assert "There is no free place for it in this plan" in why_moved(move)


def test_a_mend_is_plain_json():
    values = json.loads(json.dumps(mended(bench(job(0, 1), hours=away(1))).to_dict()))
    assert values["moves"][0]["before"]["day"] == 1
    assert values["plan"]["format"] == "shop-plan-1"
