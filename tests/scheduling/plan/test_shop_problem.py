"""The instance that a shop's facts make is one that the planner reads, and its digest is calm."""

from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.models import Absence, ClosedDay, OvertimeDay, Pin, SetUp
from scheduling.core.planner import read_problem
from scheduling.plan.plan_writing import _minutes
from scheduling.plan.shop_problem import digest, early_price, instance, load_shop
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


def test_instance_is_read_by_the_planner(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    make.Booking(machine=machine)
    refreshed()
    made = instance(load_shop(shop, NOW))
    problem = read_problem(made)
    (task,) = problem.tasks.values()
    assert (task.machine, task.hours, task.skill) == (machine.tag, 1.0, "any")
    assert (task.due.p10, task.due.p50, task.due.p90) == (3, 3, 3)
    assert problem.machines[machine.tag].bookings[0].first_day == 3
    assert problem.mechanics["ada"].hours[:3] == (8, 8, 8)
    assert problem.yards["shop"].closed_days == {5, 6, 12, 13}


def test_digest_follows_the_facts_and_not_the_plan(shop, mechanic, due_in, refreshed):
    due_in(3)
    refreshed()

    def marks():
        facts = load_shop(shop, NOW)
        return digest(instance(facts), facts)

    before = marks()
    assert marks() == before
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    assert marks() != before


@pytest.fixture
def stood(shop, mechanic, due_in, refreshed):
    """Work that the last published plan has today, in the frozen days."""
    machine = due_in(0)
    key = key_of(machine, "oil")
    jobs = [{"work_key": key, "day": TODAY.isoformat(), "mechanic": "ada"}]
    days = {"first_day": TODAY, "last_day": TODAY + timedelta(days=5)}
    shop.releases.create(at=NOW, jobs=jobs, **days)
    refreshed()
    return machine


def task_of(shop):
    (task,) = instance(load_shop(shop, NOW))["tasks"]
    return task


def test_frozen_place_is_kept(shop, stood):
    assert task_of(shop)["previous"] == {"day": 0, "mechanic": "ada"}


def test_frozen_place_falls_where_the_machine_is_out(shop, stood):
    make.Booking(machine=stood, first_day=TODAY, last_day=TODAY)
    assert task_of(shop)["previous"] is None


def test_frozen_place_falls_where_the_mechanic_is_away(shop, stood, mechanic):
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    assert task_of(shop)["previous"] is None


def test_pin_wins_over_a_frozen_place(shop, stood, mechanic):
    key = key_of(stood, "oil")
    day = TODAY + timedelta(days=4)
    Pin.objects.create(machine=stood, work_key=key, day=day, by=mechanic, at=NOW)
    task = task_of(shop)
    assert (task["previous"], task["pin"]) == (None, {"day": 4, "mechanic": None})
    read_problem(instance(load_shop(shop, NOW)))  # no contradiction


def test_pin_after_a_hard_limit_stands_and_the_limit_gives_way(shop, mechanic, due_in, refreshed):
    machine = due_in(2, make.Service(code="annual"), hard=True)
    key = key_of(machine, "annual")
    day = TODAY + timedelta(days=8)
    Pin.objects.create(machine=machine, work_key=key, day=day, by=mechanic, at=NOW)
    refreshed()
    task = task_of(shop)
    assert (task["limit_day"], task["pin"]["day"]) == (None, 8)


def test_set_up_is_counted_once_a_visit(shop, mechanic, yard, due_in, refreshed, oil):
    lift = SetUp.objects.create(name="lift", minutes=24, cost=18)
    oil.set_ups.add(lift)
    due_in(3)
    refreshed()
    facts = load_shop(shop, NOW)
    assert instance(facts)["setups"] == [{"id": "lift", "hours": 0.4, "cost": 18.0}]
    assert instance(facts)["tasks"][0]["setups"] == ["lift"]

    class Visit:
        machine, work = facts.work[0].machine, (facts.work[0], facts.work[0])

    assert _minutes(Visit, facts) == 30 + 24 + 60 + 60


def test_a_finding_written_as_a_sentence_does_not_end_twice(shop, mechanic, yard):
    machine = make.Machine(yard=yard)
    make.Finding(machine=machine, text="The pin hole is worn.", seen_at=NOW)
    (work,) = load_shop(shop, NOW).work
    assert work.title == "The pin hole is worn"


def test_what_a_shop_has_more_or_less_of_is_in_the_instance(shop, mechanic, due_in, refreshed):
    ranch = make.Yard(shop=shop, remote=True)
    ClosedDay.objects.create(shop=shop, yard=ranch, day=TODAY + timedelta(days=3))
    make.BayLoan(shop=shop, last_day=TODAY + timedelta(days=1))
    make.CapacitySpell(shop=shop, share=1, overtime_limit_hours=5, last_day=2)
    refreshed()
    made = instance(load_shop(shop, NOW))
    (ada,) = made["mechanics"]
    assert made["yards"][0]["loaned_bays"][:3] == [-1, -1, 0]
    assert made["sites"][0]["closed_days"] == [3]
    assert (ada["overtime_limit_hours"], ada["extra_overtime_hours"][:2]) == (2, [3, 0])
    problem = read_problem(made)
    assert problem.mechanics["ada"].overtime_on(0) == 5


def test_joint_and_long_work_is_in_the_instance(shop, mechanic, due_in, refreshed, oil):
    oil.second_minutes, oil.second_skill, oil.several_days = 30, make.Skill(name="rigger"), True
    oil.save()
    due_in(3)
    refreshed()
    task = task_of(shop)
    assert (task["second"], task["several_days"]) == ({"skill": "rigger", "hours": 0.5}, True)


@pytest.fixture
def under_way(shop, mechanic, due_in, refreshed):
    """Work that ada began yesterday; an hour of it is done and 90 minutes are left."""
    machine = due_in(60)
    refreshed()
    make.Progress(
        machine=machine, work_key=key_of(machine, "oil"), done_by=mechanic, minutes_left=90,
        at=NOW - timedelta(days=1),
    )  # fmt: skip
    return machine


def test_work_under_way_stays_with_its_mechanic_on_their_next_day(shop, under_way, mechanic):
    assert task_of(shop)["hours"] == 1.5
    assert task_of(shop)["pin"] == {"day": 0, "mechanic": "ada"}
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    assert task_of(shop)["pin"] == {"day": 1, "mechanic": "ada"}
    make.Booking(machine=under_way, first_day=TODAY, last_day=TODAY + timedelta(days=1))
    assert task_of(shop)["pin"] == {"day": 2, "mechanic": "ada"}


def test_work_laid_down_today_goes_on_tomorrow(shop, under_way, mechanic):
    key = key_of(under_way, "oil")
    make.Progress(machine=under_way, work_key=key, done_by=mechanic, minutes_left=30, at=NOW)
    assert (task_of(shop)["hours"], task_of(shop)["pin"]["day"]) == (0.5, 1)


def test_a_persons_pin_wins_over_work_under_way(shop, under_way, mechanic):
    key, day = key_of(under_way, "oil"), TODAY + timedelta(days=4)
    Pin.objects.create(machine=under_way, work_key=key, day=day, by=mechanic, at=NOW)
    assert task_of(shop)["pin"] == {"day": 4, "mechanic": None}


def test_work_under_way_of_somebody_who_left_is_anybodys(shop, under_way, mechanic):
    mechanic.is_active = False
    mechanic.save()
    assert task_of(shop)["pin"] is None


def test_overtime_is_allowed_on_single_days(shop, mechanic, due_in, refreshed):
    due_in(3)
    refreshed()
    for day, hours in ((2, 1.5), (2, 3), (4, 2), (4, 0), (40, 2)):
        OvertimeDay.objects.create(shop=shop, day=TODAY + timedelta(days=day), hours=hours, at=NOW)
    problem = read_problem(instance(load_shop(shop, NOW)))
    ada = problem.mechanics["ada"]
    assert [ada.overtime_on(day) for day in (1, 2, 3, 4)] == [2, 5, 2, 2]


@pytest.mark.parametrize("number", [1, 5])
def test_loading_a_shop_takes_the_same_queries_however_much_there_is(
    shop, mechanic, due_in, refreshed, number, django_assert_num_queries
):
    for _ in range(number):
        machine = due_in(3)
        make.Finding(machine=machine, seen_at=NOW)
        make.Progress(machine=machine, work_key=key_of(machine, "oil"), at=NOW)
        make.Booking(machine=machine)
        make.LentHand(shop=shop)
        make.BayLoan(shop=shop)
    refreshed()
    with django_assert_num_queries(38):
        load_shop(shop, NOW)


def test_a_day_early_costs_its_share_of_the_service_and_of_the_visit_that_it_brings_sooner(
    shop, mechanic, due_in, refreshed
):
    machine = due_in(9)
    refreshed()
    facts = load_shop(shop, NOW)
    (work,) = facts.work
    rented = facts.machines[machine.pk]
    visit = rented.visit[1] + 0.5 * rented.day_rate * rented.demand
    share = visit / work.interval_days
    assert early_price(work, rented) == pytest.approx(work.waste_cost + share, abs=1e-4)
    assert task_of(shop)["waste_cost_per_day"] > work.waste_cost
    assert early_price(replace(work, finding=1, waste_cost=0.0), rented) == 0.0
