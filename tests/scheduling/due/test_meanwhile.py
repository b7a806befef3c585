"""A reading that comes in while a refresh is under way is not lost to what the refresh writes."""

from datetime import timedelta

import pytest

from scheduling.due import refresh as module
from scheduling.due.meanwhile import changed_since, newest_entry
from scheduling.due.refresh import refresh
from scheduling.models import OutboxEntry
from tests import factories as make
from tests.scheduling.cases import NOW, point, steady

pytestmark = pytest.mark.django_db


def owe(machines, minutes=0):
    at = NOW + timedelta(minutes=minutes)
    key = f"refresh:{OutboxEntry.objects.count()}"
    payload = {"machines": machines}
    return OutboxEntry.objects.create(
        key=key, kind="refresh", payload=payload, due_at=at, made_at=at
    )


def test_only_what_is_new_and_concerns_the_machines():
    owe([1])
    before = newest_entry()
    assert changed_since(before, None) is None
    owe([2, 3], minutes=4)
    found = changed_since(before, None)
    assert (found.machines, found.at) == ({2, 3}, NOW + timedelta(minutes=4))
    assert changed_since(before, [3, 9]).machines == {3}
    assert changed_since(before, [9]) is None
    assert changed_since(frozenset(), [1]).machines == {1}


def test_reading_that_comes_in_meanwhile_is_counted(monkeypatch):
    machine = make.Machine()
    meter = steady(machine)
    make.Interval(makeup=machine.makeup, every=250)
    load = module.load_facts

    def load_and_change(scope, now):
        facts = load(scope, now)
        if not OutboxEntry.objects.exists():
            make.Reading(meter=meter, read_at=NOW + timedelta(minutes=1), value=341)
            owe([machine.pk], minutes=1)
            refresh([machine.pk], NOW + timedelta(minutes=1))  # the page's own, done first
            assert point().life_now == 341
        return facts

    monkeypatch.setattr(module, "load_facts", load_and_change)
    refresh(None, NOW)
    assert point().life_now == 341
