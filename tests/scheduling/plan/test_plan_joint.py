"""Whole plans with what a shop has more or less of, and with work that binds other work."""

from datetime import timedelta

import pytest

from fleet.models import ClosedDay, FittingPart, Qualification, ServiceNeed, StockMovement
from scheduling.models import Block, PlannedJob, PlannedWork
from scheduling.plan import plan_shop
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW, TODAY
from tests.scheduling.said import said

pytestmark = pytest.mark.django_db


def day(ahead):
    return TODAY + timedelta(days=ahead)


@pytest.fixture
def planned(shop, refreshed):
    """Plan the shop and return its jobs by day."""

    def build():
        refreshed()
        report = plan_shop(shop, NOW)
        assert report.cannot_keep == []
        return list(PlannedJob.objects.order_by("day", "position"))

    return build


def test_work_longer_than_a_day_goes_on_over_the_weekend(shop, mechanic, due_in, planned):
    """20 h from Friday: a half-hour visit and 7.5 h, then 8 h on Monday and the rest on Tuesday."""
    overhaul = make.Service(code="overhaul", minutes=1200, several_days=True)
    machine = due_in(4, overhaul)
    make.Booking(machine=machine, first_day=day(0), last_day=day(3))
    (job,) = planned()
    assert (job.day, job.last_day) == (day(4), day(8))
    assert job.minutes_by_day() == {day(4): 480, day(7): 480, day(8): 270}
    block = Block.objects.get(kind=Block.Kind.IN_SHOP)
    assert (block.first_day, block.last_day) == (day(4), day(8))


def test_work_for_two_has_a_second_person(shop, mechanic, due_in, planned, oil):
    other = make.Mechanic(shop=shop)
    rigger = make.Skill(name="rigger")
    Qualification.objects.create(person=other, skill=rigger)
    oil.second_minutes, oil.second_skill = 30, rigger
    oil.save()
    due_in(2)
    (job,) = planned()
    assert (job.mechanic, job.second, job.second_minutes) == (mechanic, other, 30)


def test_work_for_two_waits_where_nobody_else_works(shop, mechanic, due_in, planned, oil):
    oil.second_minutes = 30
    oil.save()
    due_in(2)
    assert planned() == []
    assert PlannedWork.objects.get().why.startswith("It takes two, and nobody else works")


def test_what_follows_is_worked_after(shop, mechanic, due_in, planned, oil):
    road = make.Service(code="road", name="A road test", minutes=20)
    road.follows.add(oil)
    machine = due_in(2)
    make.Interval(service=road, makeup=machine.makeup, every_days=1, meter_kind="", every=None)
    (job,) = planned()
    assert [work.service for work in job.work.all()] == [oil, road]


def test_what_keeps_apart_is_never_in_one_visit(shop, mechanic, due_in, planned, oil):
    wash = make.Service(code="wash")
    wash.apart_from.add(oil)
    machine = due_in(2)
    make.Interval(service=wash, makeup=machine.makeup, every_days=1, meter_kind="", every=None)
    jobs = planned()
    assert len(jobs) == 2
    assert [job.work.count() for job in jobs] == [1, 1]


def test_no_machine_comes_in_while_the_only_bay_is_lent_away(shop, mechanic, due_in, planned):
    shop.bays = 1
    shop.save()
    make.BayLoan(shop=shop, first_day=day(0), last_day=day(3))
    due_in(1)
    (job,) = planned()
    assert job.day == day(4)


def test_a_shop_without_a_bay_works_in_one_that_it_borrows(shop, mechanic, due_in, planned):
    shop.bays = 0
    shop.save()
    make.BayLoan(shop=shop, bays=1, first_day=day(3), last_day=day(3))
    due_in(1)
    (job,) = planned()
    assert job.day == day(3)


def test_parts_that_may_come_late_are_planned_on_late(shop, mechanic, due_in, planned, oil):
    machine = due_in(1)
    part = make.Part()
    FittingPart.objects.create(makeup=machine.makeup, place="oil filter", part=part)
    ServiceNeed.objects.create(service=oil, place="oil filter")
    StockMovement.objects.create(part=part, shop=shop, quantity=0, reason="count", at=NOW)
    make.Delivery(part=part, shop=shop, expected_on=day(1), latest_on=day(4))
    (job,) = planned()
    assert job.day == day(4)


def test_a_lent_hand_does_what_they_were_lent_for(shop, mechanic, due_in, planned, oil):
    oil.skill = make.Skill(name="welding")
    oil.save()
    lent = make.LentHand(shop=shop, first_day=day(3), last_day=day(4), skilled=[oil.skill])
    due_in(1)
    (job,) = planned()
    assert (job.day, job.mechanic) == (day(3), lent.person)


def test_an_inspection_is_planned_while_the_certificate_holds(shop, mechanic, due_in, planned, oil):
    oil.skill = make.Skill(name="inspector")
    oil.save()
    Qualification.objects.create(person=mechanic, skill=oil.skill, valid_until=day(3))
    due_in(9)
    (job,) = planned()
    assert job.day <= day(3)
    assert job.mechanic == mechanic


def test_a_ranch_takes_no_visit_on_its_closed_days(shop, mechanic, yard, due_in, planned):
    yard.remote = True
    yard.save()
    for ahead in (0, 1, 2, 3):
        ClosedDay.objects.create(shop=shop, yard=yard, day=day(ahead))
    due_in(1)
    (job,) = planned()
    assert job.day == day(4)


def test_hours_of_a_spell_hold_less_work(shop, mechanic, due_in, planned):
    """A visit takes an hour and a half; a tenth of eight hours without overtime holds none."""
    make.CapacitySpell(shop=shop, share=0.1, overtime_limit_hours=0, last_day=4)  # to Wednesday
    due_in(0), due_in(0)
    assert [job.day for job in planned()] == [day(3), day(3)]


def test_work_under_way_goes_on_in_the_same_hands(shop, mechanic, due_in, planned, oil):
    other = make.Mechanic(shop=shop)
    machine = due_in(60)
    make.Progress(
        machine=machine, work_key=key_of(machine, "oil"), done_by=other, minutes_left=600,
        at=NOW - timedelta(days=1),
    )  # fmt: skip
    (job,) = planned()
    assert (job.mechanic, job.day, job.last_day) == (other, day(0), day(1))
    work = job.work.get()
    assert (work.begun, work.minutes, work.pinned) == (True, 600, False)
    block = Block.objects.get(kind=Block.Kind.IN_SHOP)
    assert said(block).startswith("Work on it is under way")
