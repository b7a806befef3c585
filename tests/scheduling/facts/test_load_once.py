"""Facts that several stages of a run need are loaded by the first of them."""

from datetime import timedelta

import pytest

from scheduling.facts import load_once
from scheduling.facts.load_once import LoadOnce
from scheduling.facts.scope import Scope
from scheduling.worker.night import run_night
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def loads(monkeypatch):
    """The scopes of which facts were loaded."""
    real, loaded = load_once.load_facts, []

    def load(scope, now):
        loaded.append(scope)
        return real(scope, now)

    monkeypatch.setattr(load_once, "load_facts", load)
    return loaded


def test_the_same_machines_at_the_same_time_are_loaded_once(loads):
    machine = factories.Machine()
    shop, once = Scope.of(machine.yard.shop_id), LoadOnce()
    assert once(shop, NOON) is once(shop, NOON)
    once(shop, NOON + timedelta(minutes=1))
    once(Scope.of(machine.yard.shop_id, [machine.pk]), NOON)
    assert loads == [shop, shop, Scope.of(machine.yard.shop_id, [machine.pk])]


def test_what_was_let_go_is_loaded_again(loads):
    shop, once = Scope.of(factories.Machine().yard.shop_id), LoadOnce()
    once(shop, NOON)
    once.forget()
    once(shop, NOON)
    assert loads == [shop, shop]


def test_a_night_loads_the_facts_of_its_shop_once(loads):
    machine = factories.Machine()
    meter = factories.Meter(machine=machine)
    factories.Interval(makeup=machine.makeup)
    factories.Reading(meter=meter, value=40, read_at=NOON - timedelta(days=3))
    shop = machine.yard.shop
    report = run_night(shop, NOON)
    assert report["ok"], report
    assert loads == [Scope.of(shop.pk)]
