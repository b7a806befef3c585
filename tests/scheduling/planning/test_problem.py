"""The instance that a shop's facts make is one that the planner reads, and its digest is calm."""

from datetime import timedelta

import pytest

from fleet.models import Absence, Pin, SetUp
from scheduling.core.planner import Problem
from scheduling.planning.problem import digest, instance, load_shop
from scheduling.planning.writing import _minutes
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


def test_instance_is_read_by_the_planner(shop, mechanic, due_in, refreshed):
    machine = due_in(3)
    make.Booking(machine=machine)
    refreshed()
    made = instance(load_shop(shop, NOW))
    problem = Problem.from_dict(made)
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
    key = f"s:{machine.tag}:oil"
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
    key = f"s:{stood.tag}:oil"
    day = TODAY + timedelta(days=4)
    Pin.objects.create(machine=stood, work_key=key, day=day, by=mechanic, at=NOW)
    task = task_of(shop)
    assert (task["previous"], task["pin"]) == (None, {"day": 4, "mechanic": None})
    Problem.from_dict(instance(load_shop(shop, NOW)))  # no contradiction


def test_pin_after_a_hard_limit_stands_and_the_limit_gives_way(shop, mechanic, due_in, refreshed):
    machine = due_in(2, make.Service(code="annual"), hard=True)
    key = f"s:{machine.tag}:annual"
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
