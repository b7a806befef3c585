"""A changed fact is owed, done at once if small, and never fails the page that took it."""

import pytest
from django.db import transaction

from fleet.changed_facts import tell
from scheduling.models import DuePoint, OutboxEntry
from scheduling.worker import perform, receivers
from tests import factories as make
from tests.scheduling.cases import steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    found = make.Machine()
    steady(found)
    make.Interval(makeup=found.makeup, every=250)
    return found


def test_entry_is_written_with_the_fact(machine):
    tell([machine.pk])
    entry = OutboxEntry.objects.get()
    assert (entry.kind, entry.payload) == ("refresh", {"machines": [machine.pk]})
    assert entry.done_at is None  # nothing is done before the commit


def test_entry_goes_with_a_fact_that_is_rolled_back(machine):
    with transaction.atomic():
        tell([machine.pk])
        transaction.set_rollback(True)
    assert not OutboxEntry.objects.exists()


def test_nothing_is_owed_for_no_machine():
    tell([])
    assert not OutboxEntry.objects.exists()


def test_few_machines_are_recomputed_at_once(machine, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        tell([machine.pk])
    assert OutboxEntry.objects.get().done_at is not None
    assert DuePoint.objects.filter(machine=machine).exists()


def test_many_machines_are_left_to_the_queue(monkeypatch, django_capture_on_commit_callbacks):
    rung = []
    monkeypatch.setattr(receivers, "ring", rung.append)
    machines = [make.Machine() for _ in range(receivers.AT_ONCE + 1)]
    with django_capture_on_commit_callbacks(execute=True):
        tell([machine.pk for machine in machines])
    entry = OutboxEntry.objects.get()
    assert rung == [entry.pk]
    assert entry.done_at is None


@pytest.mark.parametrize("broken", ["refresh", "claim"])
def test_failure_leaves_the_entry_to_the_sweep(
    machine, broken, monkeypatch, django_capture_on_commit_callbacks, caplog
):
    def fail(*_, **__):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(perform, broken, fail)
    with django_capture_on_commit_callbacks(execute=True):
        tell([machine.pk])
    entry = OutboxEntry.objects.get()
    assert (entry.done_at, entry.failed_at) == (None, None)
    assert "the disk is full" in caplog.text


@pytest.mark.django_db(transaction=True)
def test_same_change_told_in_two_transactions_is_owed_twice(machine, monkeypatch):
    """The second change may have come after the first was worked out."""
    monkeypatch.setattr(receivers, "do_now", lambda pk: None)
    for _ in range(2):
        with transaction.atomic():
            tell([machine.pk])
    assert OutboxEntry.objects.count() == 2
