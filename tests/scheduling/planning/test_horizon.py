from datetime import date, time, timedelta

import pytest

from fleet.models import Absence, ClosedDay, ShopHours, WorkingHours
from scheduling.planning.horizon import load_horizon, load_workers
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


def test_days_begin_with_the_shops_today(shop):
    shop.time_zone = "Pacific/Auckland"  # where it is already Tuesday, 3 March
    horizon = load_horizon(shop, NOW)
    assert (horizon.first, horizon.days) == (date(2026, 3, 3), 14)
    assert horizon.number(date(2026, 3, 2)) == -1
    assert horizon.date(4) == date(2026, 3, 7)
    assert horizon.closed == [4, 5, 11, 12]  # Saturdays and Sundays


def test_day_on_which_only_a_yard_is_shut_is_open(shop, yard):
    ClosedDay.objects.create(shop=shop, day=TODAY, reason="stocktaking")
    ClosedDay.objects.create(shop=shop, yard=yard, day=TODAY + timedelta(days=1))
    horizon = load_horizon(shop, NOW)
    assert horizon.open_hours[:2] == (0, 10)
    assert horizon.closed_why[0] == "stocktaking"


def test_hours_of_people(shop, mechanic):
    ShopHours.objects.filter(weekday=1).update(opens=time(7), closes=time(12, 30))
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    horizon = load_horizon(shop, NOW)
    (worker,) = load_workers(shop, horizon)
    # away, half a day open, two full days
    assert worker.hours[:4] == (0, 5.5, 8, 8)
    assert worker.skills == {"any", "general"}
    assert worker.name == "Ada Brook"


def test_who_does_not_work_here(shop, mechanic):
    make.Mechanic()  # in another shop
    make.Mechanic(shop=shop, is_active=False)
    make.Person(shop=shop)  # without working hours
    workers = load_workers(shop, load_horizon(shop, NOW))
    assert [worker.pk for worker in workers] == [mechanic.pk]


def test_person_works_without_any_skill(shop):
    person = make.Person(shop=shop)
    WorkingHours.objects.create(person=person, weekday=0, hours=3)
    (worker,) = load_workers(shop, load_horizon(shop, NOW))
    assert worker.skills == {"any"}
