import pytest

from scheduling.core.planner.cost import price
from scheduling.core.planner.entities import Spot
from scheduling.core.planner.greedy import greedy_plan
from scheduling.core.planner.reason import Reason
from scheduling.core.planner.watch import Watch
from scheduling.core.planner.why import TOO_LATE, Explainer, explain
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import plan, yard_case


def test_the_stated_difference_is_that_of_the_two_whole_plans():
    load = greedy_plan(*yard_case(yard(machines=30, mechanics=2, days=14, seed=4)))
    compared = 0
    for k, slots in enumerate(load.chosen):
        for slot in slots:
            for i in load.machines[k].member[slot[0]].nonzero()[0]:
                task = load.machines[k].tasks[i].id
                reason = Explainer(load, k).reason(slot, int(i))
                if reason.other is not None:
                    moved = {**load.places(), task: reason.other}
                    change = sum(price(load.case.problem, moved).values()) - load.total()
                    assert sum(m for _, m in reason.more) == pytest.approx(change, abs=0.05)
                    compared += 1
    assert compared > 20


def one_task(**fields):
    days = 10
    task = plain_task("t", "m", 2.0, 4.0, overdue_cost_per_day=9.0, waste_cost_per_day=1.0)
    machine = {"bookings": fields.pop("bookings", [])}
    lists = {
        "yards": [plain_yard(closed=fields.pop("closed", ()))],
        "mechanics": [plain_mechanic("w", fields.pop("hours", [8.0] * days))],
        "machines": [plain_machine("m", days, **machine)],
        "tasks": [task | fields],
    }
    (place,) = plan(instance(days, **lists) | {"weights": free_weights()}).assignments
    return place


def test_a_free_choice_names_the_cheapest_other_day_and_its_terms():
    place = one_task()
    assert place.day == 4
    assert place.why == (
        "The cheapest other place, day 3 with w, would cost 1.00 more (waste +1.00)."
    )


BARRED = [
    ({"closed": (4,)}, "day 4 would cost 1.00 less, but yard y is closed"),
    (
        {"bookings": [{"id": "b", "first_day": 4, "last_day": 6, "value": 1.0}]},
        "but booked 4 to 6 (b)",
    ),
    ({"limit_day": 3}, "but its limit is day 3"),
    ({"hours": [8.0] * 4 + [1.0] * 3 + [8.0] * 3}, "but w has 0.00 of 1.00 h taken"),
    ({"hours": [8.0] * 4 + [0.0] * 3 + [8.0] * 3}, "but nobody works who holds the skill general"),
]


@pytest.mark.parametrize(("fields", "words"), BARRED)
def test_a_day_that_looks_cheaper_says_what_forbids_it(fields, words):
    assert words in one_task(**fields).why


def test_a_part_on_its_way_is_named():
    part = {"id": "p", "yard": "y", "on_hand": 0, "arrivals": [{"day": 6, "quantity": 1}]}
    days = 10
    task = plain_task("t", "m", 2.0, 4.0, overdue_cost_per_day=9.0)
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * days)],
        parts=[part],
        machines=[plain_machine("m", days)],
        tasks=[task | {"parts": [{"part": "p", "quantity": 1}]}],
    )
    (place,) = plan(case | {"weights": free_weights()}).assignments
    assert place.day == 6
    assert "but p arrives on day 6" in place.why


def test_tasks_of_one_visit_name_each_other_and_a_late_watch_says_so():
    load = greedy_plan(*yard_case(yard(machines=30, mechanics=2, days=14, seed=4)))
    sentences = explain(load, Watch(lambda: 0.0, 0.0, 1.0))
    assert any("one visit with" in text for text in sentences.values())
    assert set(sentences) == set(load.places())
    assert set(explain(load, Watch(lambda: 2.0, 0.0, 1.0)).values()) == {TOO_LATE}


@pytest.mark.parametrize(
    ("reason", "sentence"),
    [
        (Reason(fixed="it is pinned here"), "It is pinned here."),
        (Reason(), "No other place is free for it alone."),
        (Reason(other=Spot(3, "w")), "Day 3 with w would cost the same."),
        (
            Reason(other=Spot(3, "w"), more=(("trip", 50.0), ("waste", -2.0)), together=("a", "b")),
            "The cheapest other place, day 3 with w, would cost 48.00 more "
            "(trip +50.00, waste -2.00); one visit with a, b.",
        ),
    ],
)
def test_a_reason_reads_as_a_sentence(reason, sentence):
    assert reason.sentence() == sentence
