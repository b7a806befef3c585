from datetime import date, timedelta

import pytest

from fleet.models import ClosedDay, OpenDay
from scheduling.plan.horizon import load_days, load_horizon
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
    assert horizon.yards_shut == {yard.pk: [1]}


def test_a_day_open_all_the_same_is_open_whatever_else_is_said(shop):
    friday, saturday = TODAY + timedelta(days=4), TODAY + timedelta(days=5)
    ClosedDay.objects.create(shop=shop, day=friday, reason="fair")
    for day, hours in ((saturday, 6), (friday, 3), (friday, 4.5), (TODAY, 9), (TODAY, 0)):
        OpenDay.objects.create(shop=shop, day=day, hours=hours, at=NOW)
    horizon = load_horizon(shop, NOW)
    assert (horizon.open_hours[0], *horizon.open_hours[4:7]) == (10, 4.5, 6, 0)
    assert horizon.opened == {4, 5}
    assert set(horizon.closed_why) == {6, 12, 13}


def test_bays_lent_and_borrowed_add_up(shop):
    make.BayLoan(shop=shop, bays=-1, last_day=TODAY + timedelta(days=2))
    make.BayLoan(shop=shop, bays=2, first_day=TODAY + timedelta(days=1))
    make.BayLoan(shop=shop, first_day=TODAY - timedelta(days=9), last_day=TODAY - timedelta(days=1))
    horizon = load_horizon(shop, NOW)
    assert [horizon.loaned_bays.get(day, 0) for day in range(8)] == [-1, 1, 1, 2, 2, 2, 2, 0]


def test_a_spell_says_the_share_and_the_overtime_of_its_days(shop):
    make.CapacitySpell(shop=shop, share=0.5, overtime_limit_hours=0, last_day=3)
    horizon = load_horizon(shop, NOW)
    assert horizon.share == {0: 0.5, 1: 0.5}
    assert horizon.overtime == {0: 0, 1: 0}


def test_the_number_of_queries_does_not_grow(shop, django_assert_num_queries):
    for _ in range(3):
        make.BayLoan(shop=shop)
        make.CapacitySpell(shop=shop)
    with django_assert_num_queries(6):
        load_days(shop, TODAY, 60)
