"""What each day may bring.  Today is Monday 2 March 2026."""

from datetime import timedelta

import numpy as np
import pytest

from scheduling.due.learning import learn
from scheduling.due.refresh import refresh
from scheduling.due.seasonality import SEASONS_BACK, day_weights
from scheduling.facts.load_facts import load_use
from scheduling.facts.scope import Scope
from scheduling.models import DuePoint
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, serviced, steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    machine = make.Machine()
    make.Meter(machine=machine)
    return machine


def weights(machine, months=None):
    facts = load_use(Scope.of(machine.yard.shop_id), NOW)
    return day_weights(facts, facts.meters["hours"], months)


def of_day(found, ahead, row=0):
    return float(found.weight[row, ahead - found.first_day])


def day(ahead):
    return TODAY + timedelta(days=ahead)


def test_plain_days_have_no_weights(machine):
    assert weights(machine) is None


def test_a_season_holds_in_the_past_as_in_the_future(machine):
    make.SeasonWeight(first_month=3, first_day=1, last_month=3, last_day=3, weight=2)
    found = weights(machine)
    assert found.first_day == -SEASONS_BACK
    assert [of_day(found, n) for n in (-366, -365, -2, 0, 1, 2)] == [2, 2, 1, 2, 2, 1]


def test_storage_wins_over_a_season(machine):
    make.SeasonWeight(weight=2)
    machine.storages.create(first_day=day(3), last_day=day(4))
    found = weights(machine)
    assert [of_day(found, n) for n in (2, 3, 4, 5)] == [2, 0, 0, 2]


def test_storage_far_ahead_does_no_harm(machine):
    machine.storages.create(first_day=day(200), last_day=day(300))
    assert weights(machine) is None
    refresh(None, NOW)  # the whole of it goes on


def test_months_that_were_learnt_multiply(machine):
    make.SeasonWeight(weight=2, first_month=3, last_month=3)
    months = np.ones((1, 12))
    months[0, 2], months[0, 3] = 1.5, 0.5  # March, April
    found = weights(machine, months)
    assert [of_day(found, n) for n in (0, 29, 30, 60)] == [3.0, 3.0, 0.5, 1.0]


def due_after(season=None):
    """The middle day of a machine at 4 h a day with 100 h to go."""
    machine = make.Machine()
    rule = make.Interval(makeup=machine.makeup, every=100.0)
    steady(machine)
    serviced(machine, rule.service, 0)
    if season:
        make.SeasonWeight(makeup=machine.makeup, **season)
    refresh([machine.pk], NOW)
    return DuePoint.objects.get(machine=machine).p50


def test_a_stated_season_moves_the_dates():
    coming = {"first_month": 3, "first_day": 3, "last_month": 6, "last_day": 30}
    usual = due_after()
    assert due_after({**coming, "weight": 3}) < usual - timedelta(days=8)
    assert due_after({**coming, "weight": 0.3}) > usual + timedelta(days=20)


def test_a_season_that_never_changes_moves_little():
    assert abs((due_after({"weight": 2}) - due_after()).days) <= 4


def seasonal(months, years=2.4):
    """A fleet that runs 8 h a day in some months and 1 h in the others."""
    yard, makeup = make.Yard(), make.MakeUp()
    for _ in range(6):
        meter = make.Meter(machine=make.Machine(yard=yard, makeup=makeup),
                           fitted_at=NOW - timedelta(days=1000))  # fmt: skip
        life = 0.0
        for back in range(round(365 * years), -1, -7):
            life += 7 * (8.0 if day(-back).month in months else 1.0)
            make.Reading(meter=meter, read_at=NOW - timedelta(days=back), value=life)
    return yard.shop


def lesson_of(shop):
    facts = load_use(Scope.of(shop.pk), NOW)
    return learn(facts, facts.meters["hours"])


def test_months_are_learnt_where_they_repeat():
    months = lesson_of(seasonal({6, 7, 8})).months[0]
    assert months[5:8].min() > 1.3
    assert months[[0, 1, 10, 11]].max() < 1.0


def test_thirteen_months_teach_no_season():
    assert lesson_of(seasonal({6, 7, 8}, years=1.05)).months is None


def test_what_the_owner_states_is_not_learnt_again():
    shop = seasonal({6, 7, 8})
    alone = lesson_of(shop).months[0]
    make.SeasonWeight(first_month=6, first_day=1, last_month=8, last_day=31, weight=5)
    beside = lesson_of(shop).months[0]
    assert np.abs(beside - 1).max() < np.abs(alone - 1).max() / 2
