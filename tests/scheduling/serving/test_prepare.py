"""Preparing the demo: once, on an empty database, and up to today."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.demo.load_fleet import NotEmptyError, Wanted, load
from fleet.models import DemoMark, Machine, Person, Shop
from scheduling.models import KeptForecast, NightlyRun
from scheduling.serving import prepare
from tests import factories

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 25, 17, tzinfo=UTC)


@pytest.fixture
def told():
    return []


@pytest.fixture
def ran(monkeypatch):
    """Shops whose night was run."""
    shops = []
    monkeypatch.setattr(prepare, "run_night", lambda shop, now, tell, seconds: shops.append(shop))
    return shops


def test_the_fleet_is_loaded_once(told):
    prepare.fleet(NOW, told.append)
    machines = Machine.objects.count()
    prepare.fleet(NOW, told.append)
    assert Machine.objects.count() == machines
    assert "here already" in told[-1]
    assert DemoMark.objects.get().loaded_for == NOW.date()


def test_ones_own_machines_are_left_alone(told):
    factories.Machine()
    people = Person.objects.count()
    with pytest.raises(NotEmptyError):
        prepare.fleet(NOW, told.append)
    assert Person.objects.count() == people
    assert Machine.objects.count() == 1


def test_the_day_is_that_of_the_shop(told):
    # At 03:00 UTC it is still the evening before in Denver.
    load(Wanted(NOW.date(), machines=12))
    late = datetime(2026, 11, 26, 3, tzinfo=UTC)
    assert prepare.days_since(late, told.append) == 0
    assert prepare.days_since(late + timedelta(hours=6), told.append) == 1
    assert told == ["up to today", "1 lived through"]


def test_a_night_that_went_well_today_is_not_run_again(told, ran):
    shop = factories.Shop()
    NightlyRun.objects.create(
        shop=shop, day=NOW.date(), started_at=NOW, finished_at=NOW, report={"ok": True}
    )
    prepare.nights(NOW, told.append)
    assert ran == []
    prepare.nights(NOW, told.append, anew=True)
    assert ran == [shop]


@pytest.mark.parametrize("report", [{}, {"ok": False}])
def test_a_night_that_went_badly_is_run_again(told, ran, report):
    NightlyRun.objects.create(
        shop=factories.Shop(), day=NOW.date(), started_at=NOW, finished_at=NOW, report=report
    )
    prepare.nights(NOW, told.append)
    assert ran == list(Shop.objects.all())


def test_a_year_of_past_forecasts_is_gone_through_once(told):
    load(Wanted(NOW.date(), machines=9))
    prepare.past_forecasts(NOW, told.append)
    kept = KeptForecast.objects.count()
    assert kept > 100
    assert told[-1] == f"{kept:,} kept"
    prepare.past_forecasts(NOW, told.append)
    assert (KeptForecast.objects.count(), told[-1]) == (kept, "here already")
