import pytest

from scheduling.core.planner.answer.place_reason import (
    FixedBy,
    PlaceReason,
    Relaxation,
    RelaxationKind,
)
from scheduling.core.planner.control.watch import Watch
from scheduling.core.planner.explain.timing import timing_of
from scheduling.core.planner.explain.why import Explainer, explain
from scheduling.core.planner.plan.cost import price
from scheduling.core.planner.plan.greedy import greedy_plan
from scheduling.core.planner.problem.entities import Spot
from scheduling.core.planner.run.solve import assignments
from scheduling.wording import reason_sentence
from scheduling.wording.reason_words import NOT_PRICED
from tests.benchmarks.plan_instances import (
    free_weights,
    instance,
    plain_machine,
    plain_mechanic,
    plain_task,
    plain_yard,
    yard,
)
from tests.scheduling.core.planner.cases import IDS, plan, why, yard_case


def test_the_stated_difference_is_that_of_the_two_whole_plans():
    draft = greedy_plan(*yard_case(yard(machines=30, mechanics=2, days=14, seed=4)))
    compared, timing = 0, timing_of(draft.case.problem)
    for k, slots in enumerate(draft.chosen):
        for slot in slots:
            for i in draft.machines[k].member[slot[0]].nonzero()[0]:
                task = draft.machines[k].tasks[i].id
                reason = Explainer(draft, k, timing).reason(slot, int(i))
                if reason.other is not None:
                    moved = {**draft.places(), task: reason.other}
                    change = sum(price(draft.case.problem, moved).values()) - draft.total()
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
    assert why(place) == (
        "The next best place, day 3 with w, would cost 1.00 more (work done early +1.00)."
    )


BARRED = [
    ({"closed": (4,)}, "day 4 would cost 1.00 less, but yard y is closed"),
    (
        {"bookings": [{"id": "b", "first_day": 4, "last_day": 6, "value": 1.0}]},
        "but the machine is booked out days 4 to 6 (b)",
    ),
    ({"limit_day": 3}, "but it has to be done by day 3"),
    ({"hours": [8.0] * 4 + [1.0] * 3 + [8.0] * 3}, "but w works only 1 h"),
    ({"hours": [8.0] * 4 + [0.0] * 3 + [8.0] * 3}, "but nobody with the skill general is working"),
]


@pytest.mark.parametrize(("fields", "words"), BARRED)
def test_a_day_that_looks_cheaper_says_what_forbids_it(fields, words):
    assert words in why(one_task(**fields))


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
    assert "but p does not arrive until day 6" in why(place)


def test_tasks_of_one_visit_name_each_other_and_a_late_watch_leaves_reasons_out():
    draft = greedy_plan(*yard_case(yard(machines=30, mechanics=2, days=14, seed=4)))
    reasons = explain(draft, Watch(lambda: 0.0, 0.0, 1.0))
    assert any("one visit with" in reason_sentence(reason, IDS) for reason in reasons.values())
    assert set(reasons) == set(draft.case.problem.tasks)
    assert {t for t, reason in reasons.items() if not reason.waits} == set(draft.places())
    assert explain(draft, Watch(lambda: 2.0, 0.0, 1.0)) == {}
    assert {why(a) for a in assignments(draft.case.problem, draft.places(), {})} == {NOT_PRICED}


def test_the_tasks_asked_for_first_are_explained_first():
    draft = greedy_plan(*yard_case(yard(machines=30, mechanics=2, days=14, seed=4)))
    *_, last = draft.places()
    times = iter([0.0, 2.0])
    reasons = explain(draft, Watch(lambda: next(times), 0.0, 1.0), first={last})
    assert last in reasons
    assert len({draft.case.problem.tasks[name].machine for name in reasons}) == 1


def test_a_task_pulled_forward_says_what_that_saves_and_wastes():
    """Two tasks due four days apart: one visit (50) against four days of interval at 2."""
    days = 10
    rates = {"overdue_cost_per_day": 100.0, "waste_cost_per_day": 2.0}
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [8.0] * days)],
        machines=[plain_machine("m", days, visit_cost=50.0)],
        tasks=[plain_task("t", "m", 1.0, 2.0, **rates), plain_task("u", "m", 1.0, 6.0, **rates)],
    )
    place = plan(case | {"weights": free_weights()}).assignments[1]
    assert (place.task, place.day) == ("u", 2)
    assert place.reason.visit_saved == pytest.approx(50.0)
    assert place.reason.early_days == pytest.approx(4.0)
    assert place.reason.early_money == pytest.approx(8.0)
    words = "in one visit with t saves a second visit (50.00) but comes 4.0 days early (8.00)"
    assert words in why(place)


def test_late_work_says_what_sooner_would_cost():
    """The shop does it on day 1, for overtime on day 0 costs more than a day late."""
    overtime = {"overtime_limit_hours": 2.0, "overtime_cost_per_hour": 40.0}
    case = instance(
        4,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [4.0, 8.0, 8.0, 8.0], **overtime)],
        machines=[plain_machine("m", 4)],
        tasks=[plain_task("t", "m", 6.0, 0.0, overdue_cost_per_day=10.0)],
    )
    (place,) = plan(case | {"weights": free_weights()}).assignments
    assert place.day == 1
    assert place.reason.late_days == pytest.approx(1.0)
    assert place.reason.sooner == Spot(0, "w")
    assert place.reason.sooner_more == pytest.approx(70.0)  # 80 of overtime less 10 of a day late
    assert "doing it sooner, on day 0 with w, would cost 70.00 more" in why(place)


def test_a_full_day_tells_what_an_hour_of_it_is_worth():
    """Both want day 2, where 4 h are one task's; the other goes a day early at a cost of 7."""
    days = 5
    rates = {"overdue_cost_per_day": 50.0, "waste_cost_per_day": 7.0}
    case = instance(
        days,
        yards=[plain_yard()],
        mechanics=[plain_mechanic("w", [4.0] * days)],
        machines=[plain_machine("m", days), plain_machine("n", days)],
        tasks=[plain_task("t", "m", 4.0, 2.0, **rates), plain_task("u", "n", 4.0, 2.0, **rates)],
    )
    result = plan(case | {"weights": free_weights()})
    early = next(a for a in result.assignments if a.day == 1)
    assert early.reason.barred_day == 2
    assert early.reason.barred_saving == pytest.approx(7.0)
    assert early.reason.hour_worth is not None


@pytest.mark.parametrize(
    ("reason", "sentence"),
    [
        (PlaceReason(fixed=FixedBy.PIN), "It is pinned here."),
        (PlaceReason(), "No other place is free for it."),
        (PlaceReason(other=Spot(3, "w")), "Day 3 with w would cost the same."),
        (
            PlaceReason(waits=True, other=Spot(3, "w"), more=(("visit", 30.0),)),
            "The cheapest free place, day 3 with w, would cost 30.00 more than putting it off "
            "(visits +30.00).",
        ),
        (
            PlaceReason(
                waits=True,
                gives=(
                    Relaxation(RelaxationKind.SWAP, Spot(3, "w"), 0.0, "", -2.0, tasks=("a", "b")),
                ),
            ),
            "There is no free place for it in this plan; if a and b made way for it, it could be "
            "done on day 3 with w for 2.00 less.",
        ),
        (
            PlaceReason(
                other=Spot(3, "w"), more=(("trip", 50.0), ("waste", -2.0)), together=("a", "b")
            ),
            "The next best place, day 3 with w, would cost 48.00 more "
            "(trips +50.00, work done early -2.00); it is done in one visit with a and b.",
        ),
    ],
)
def test_a_reason_reads_as_a_sentence(reason, sentence):
    assert reason_sentence(reason, IDS) == sentence
