"""What would have to give for waiting work: each way out is tried and priced, not guessed."""

import copy

import pytest

from scheduling.core.planner.explain.relaxation import RelaxationSearch, relaxations_of
from scheduling.core.planner.plan.cost import price
from scheduling.core.planner.plan.greedy import placed_plan
from scheduling.core.planner.problem.entities import Spot
from scheduling.wording import relaxation_words
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import IDS, plan, yard_case

DAYS = 4


def said(relaxation):
    return relaxation_words(relaxation, IDS)


def shop(*tasks, **fields):
    """One mechanic with 8 h a day at 60 an hour of overtime, and a machine a task."""
    machines = [plain_machine(t["machine"], DAYS) for t in tasks]
    lists = {
        "yards": [plain_yard(bays=fields.pop("bays", 9))],
        "mechanics": [
            plain_mechanic("w", [8.0] * DAYS, overtime_cost_per_hour=60.0, overtime_limit_hours=0.0)
        ],
        "parts": fields.pop("parts", []),
        "machines": fields.pop("machines", machines),
        "tasks": list(tasks),
    }
    return instance(DAYS, **lists) | {"weights": free_weights() | fields}


def task(n, hours, **fields):
    return plain_task(f"t{n}", f"m{n}", hours, 0.0, **{"overdue_cost_per_day": 10.0} | fields)


def ways(case, places, waits, more=1e9):
    """The ways out for the task that waits while the others stand where they are told to."""
    draft = placed_plan(*yard_case(case), places)
    assert set(draft.places()) == set(places)
    for k, visits in enumerate(draft.machines):
        for i, t in enumerate(visits.tasks):
            if t.id == waits:
                dearest_first = reversed(relaxations_of(draft, k, i, more))
                return {relaxation.kind: relaxation for relaxation in dearest_first}, draft
    raise AssertionError(waits)


def full():
    """Four days of 6 h each, so that 4 h more fit nowhere."""
    return [task(n, 6.0) for n in range(DAYS)], {f"t{n}": Spot(n, "w") for n in range(DAYS)}


def test_overtime_says_how_many_hours_and_prices_all_of_them():
    others, places = full()
    found, draft = ways(shop(*others, task(9, 4.0)), places, "t9")
    relaxation = found["overtime"]
    assert (relaxation.spot, relaxation.amount, relaxation.what) == (Spot(0, "w"), 2.0, "w")
    waiting = sum(price(draft.case.problem, places).values())
    done = sum(price(draft.case.problem, {**places, "t9": Spot(0, "w")}).values())
    assert relaxation.price == pytest.approx(done - waiting)
    assert "with 2 h more from w on day 0, it could be done on day 0 with w" in said(relaxation)


def test_overtime_that_is_allowed_is_no_way_out():
    others, places = full()
    case = shop(*others, task(9, 4.0))
    case["mechanics"][0]["overtime_limit_hours"] = 2.0
    assert "overtime" not in ways(case, places, "t9")[0]


def test_a_swap_prices_the_other_task_at_its_new_place():
    """t9 costs 50 a day and would take day 0; t0, at 10 a day, then finds no place and waits."""
    others, places = full()
    case = shop(*others, task(9, 4.0, overdue_cost_per_day=50.0))
    found, draft = ways(case, places, "t9")
    relaxation = found["swap"]
    assert (relaxation.spot, relaxation.tasks) == (Spot(0, "w"), ("t0",))
    now = sum(price(draft.case.problem, places).values())
    after = {t: s for t, s in places.items() if t != "t0"} | {"t9": Spot(0, "w")}
    assert relaxation.price == pytest.approx(sum(price(draft.case.problem, after).values()) - now)
    assert relaxation.price < 0


def test_a_part_a_day_sooner():
    part = {"id": "p", "yard": "y", "on_hand": 0, "arrivals": [{"day": 5, "quantity": 1}]}
    waits = task(9, 4.0, parts=[{"part": "p", "quantity": 1}])
    relaxation = ways(shop(waits, parts=[part]), {}, "t9")[0]["part"]
    assert (relaxation.spot.day, relaxation.amount, relaxation.what) == (0, 5, "p")
    assert "with p 5 days sooner, it could be done on day 0 with w" in said(relaxation)
    bare = shop(waits, parts=[part | {"arrivals": []}])
    assert "with enough p" in said(ways(bare, {}, "t9")[0]["part"])


def test_a_booking_a_day_shorter():
    booking = {"id": "b", "first_day": 1, "last_day": 3, "value": 1.0}
    machine = plain_machine("m9", DAYS, bookings=[booking])
    others, places = full()
    case = shop(*others, task(9, 2.0), machines=[plain_machine(f"m{n}", DAYS) for n in range(4)])
    case["machines"].append(machine)
    case["tasks"][0]["hours"] = 8.0
    relaxation = ways(case, places, "t9")[0]["booking"]
    assert (relaxation.spot.day, relaxation.amount, relaxation.days) == (1, 1, (1, 3))
    assert "if the booking days 1 to 3 started 1 day later" in said(relaxation)


def test_half_a_bay_more():
    case = shop(task(0, 2.0), task(9, 2.0), bays=0.5, half_day_hours=4.0)
    case["horizon_days"] = 1
    for row in (*case["mechanics"], *case["machines"]):
        row.update({k: v[:1] for k, v in row.items() if k in ("hours", "demand")})
    relaxation = ways(case, {"t0": Spot(0, "w")}, "t9")[0]["bay"]
    assert (relaxation.spot, relaxation.amount) == (Spot(0, "w"), 0.5)
    assert "with half a bay more on day 0" in said(relaxation)


def test_nothing_is_named_that_costs_more_than_the_task_as_it_is():
    others, places = full()
    found, _ = ways(shop(*others, task(9, 4.0)), places, "t9", more=-1e6)
    assert found == {}


def test_a_way_out_that_saves_next_to_nothing_is_not_named():
    others, places = full()
    case = shop(*others, task(9, 4.0))
    price_then = ways(case, places, "t9")[0]["overtime"].price
    assert "overtime" in ways(case, places, "t9", more=price_then + 0.1 * abs(price_then))[0]
    assert "overtime" not in ways(case, places, "t9", more=price_then + 0.01 * abs(price_then))[0]


def test_a_way_out_never_promises_more_than_solving_with_it_gains():
    """Overtime that a way out asks for, really given: the new optimum is at least as good."""
    case = yard(machines=24, mechanics=1, days=10, seed=3, load=1.3)
    result = plan(case, 20.0)
    tried = 0
    for name, reason in result.deferred_reasons.items():
        for relaxation in (g for g in reason.gives if g.kind == "overtime"):
            eased = copy.deepcopy(case)
            eased["mechanics"][0]["overtime_limit_hours"] += relaxation.amount
            assert plan(eased, 20.0).total <= result.total + relaxation.price + 0.01, name
            tried += 1
    assert tried or result.deferred


def test_without_mechanics_there_is_no_way_out():
    case = shop(task(9, 2.0)) | {"mechanics": []}
    made = yard_case(case)
    assert list(RelaxationSearch(placed_plan(*made, {}), 0, 0, 0.0).all()) == []
