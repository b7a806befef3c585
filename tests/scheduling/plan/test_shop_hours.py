"""Hours to work and hours planned.  Monday 2 March; open and at work Monday to Friday, 8 h."""

from datetime import timedelta

import pytest

from fleet.models import Absence, ClosedDay, OpenDay, ShopHours
from scheduling.plan.shop_hours import hours_planned, hours_to_work
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
TUESDAY = TODAY + timedelta(days=1)


@pytest.fixture
def mechanic():
    return factories.Mechanic()


def test_a_week_has_the_hours_of_its_working_days(mechanic):
    assert list(hours_to_work(mechanic.shop, TODAY, 7).values()) == [8, 8, 8, 8, 8, 0, 0]


def test_hours_of_all_who_work_there_are_added(mechanic):
    factories.Mechanic(shop=mechanic.shop)
    factories.Mechanic()  # of another shop
    assert hours_to_work(mechanic.shop, TODAY, 1) == {TODAY: 16}


def test_no_hours_on_a_closed_day_but_the_yards_own_closed_day_is_another_matter(mechanic):
    ClosedDay.objects.create(shop=mechanic.shop, day=TODAY)
    ClosedDay.objects.create(shop=mechanic.shop, day=TUESDAY, yard=factories.Yard())
    assert hours_to_work(mechanic.shop, TODAY, 2) == {TODAY: 0, TUESDAY: 8}


def test_everybody_works_on_a_day_that_is_open_all_the_same(mechanic):
    saturday, sunday = TODAY + timedelta(days=5), TODAY + timedelta(days=6)
    ClosedDay.objects.create(shop=mechanic.shop, day=TODAY)
    for day, hours in ((TODAY, 5), (saturday, 6), (sunday, 4), (sunday, 0)):
        OpenDay.objects.create(shop=mechanic.shop, day=day, hours=hours, at=NOON)
    assert list(hours_to_work(mechanic.shop, TODAY, 7).values()) == [5, 8, 8, 8, 8, 6, 0]
    Absence.objects.create(person=mechanic, first_day=saturday, last_day=saturday)
    assert hours_to_work(mechanic.shop, saturday, 1) == {saturday: 0}


def test_no_hours_on_a_weekday_on_which_the_shop_is_shut(mechanic):
    ShopHours.objects.filter(shop=mechanic.shop, weekday=0).delete()
    assert hours_to_work(mechanic.shop, TODAY, 2) == {TODAY: 0, TUESDAY: 8}


def test_no_hours_of_somebody_away_or_gone(mechanic):
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    factories.Mechanic(shop=mechanic.shop, is_active=False)
    assert hours_to_work(mechanic.shop, TODAY, 2) == {TODAY: 0, TUESDAY: 8}


def test_planned_hours_are_added_by_day(mechanic):
    plan = consequences.Plan(shop=mechanic.shop)
    for minutes in (45, 45):
        consequences.PlannedJob(plan=plan, mechanic=mechanic, minutes=minutes)
    consequences.PlannedJob(plan=plan, mechanic=mechanic, day=TODAY + timedelta(days=7))
    assert hours_planned(mechanic.shop, TODAY, 7) == {TODAY: 1.5}
