from datetime import timedelta

import numpy as np
import pytest

from scheduling.due.seasonality import STORED_BACK
from scheduling.due.use_circumstances import circumstances
from scheduling.facts.load_facts import load_use
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make.Shop()


def metered(shop):
    machine = make.Machine(yard__shop=shop)
    make.Meter(machine=machine)
    return machine


def about(shop):
    facts = load_use(Scope(shop.pk), NOW)
    meters = facts.meters["hours"]
    return circumstances(facts, meters, np.zeros(meters.machine.size, dtype=np.int64))


def day(ahead):
    return TODAY + timedelta(days=ahead)


def test_bookings_are_counted_from_today(shop):
    metered(shop)
    booked = metered(shop)
    make.Booking(machine=booked, first_day=day(2), last_day=day(5))
    make.Booking(machine=make.Machine(yard=booked.yard))  # it has no such meter
    hires = about(shop).hires
    assert (hires.machine.tolist(), hires.first.tolist(), hires.last.tolist()) == ([1], [2], [5])
    assert hires.covered.tolist() == [False, True]


def test_nothing_is_said_where_nothing_is_kept(shop):
    metered(shop)
    found = about(shop)
    assert (found.hires, found.day_weights, found.origin) == (None, None, 0)


@pytest.mark.parametrize(
    ("first", "last", "stored"),
    [
        (3, 5, [3, 4, 5]),
        (-2, 0, [-2, -1, 0]),
        (118, None, [118, 119, 120]),  # open: to the end of what is forecast
    ],
)
def test_stored_days_weigh_nothing(shop, first, last, stored):
    machine = metered(shop)
    machine.storages.create(first_day=day(first), last_day=None if last is None else day(last))
    weights = about(shop).day_weights
    rest = np.flatnonzero(weights.weight[0] == 0) + weights.first_day
    assert rest.tolist() == stored


def test_storage_of_long_ago_is_left_out(shop):
    machine = metered(shop)
    machine.storages.create(first_day=day(-900), last_day=day(-STORED_BACK - 9))
    assert about(shop).day_weights is None
