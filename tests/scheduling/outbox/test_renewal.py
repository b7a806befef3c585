"""A lease is renewed while the work lives, by a thread that ends with it."""

import time
from datetime import timedelta

import pytest
from django.db import connection

from scheduling.models import OutboxEntry
from scheduling.outbox import entries, renewal
from tests import consequences
from tests.factories import NOON

pytestmark = pytest.mark.django_db(transaction=True)


class Clock:
    """A clock that goes on by ten seconds whenever it is looked at."""

    def __init__(self):
        self.now = NOON

    def __call__(self):
        self.now += timedelta(seconds=10)
        return self.now


def until(now):
    return OutboxEntry.objects.get().leased_until


@pytest.fixture
def entry(monkeypatch):
    monkeypatch.setattr(renewal, "RENEWED_EVERY", 0.02)
    return entries.claim(consequences.OutboxEntry().pk, NOON)


def wait_for(true, seconds=10.0):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.02)
    return False


def test_it_is_renewed_until_the_block_ends(entry):
    with renewal.renewed(entry, Clock()):
        assert wait_for(lambda: until(entry) > NOON + entries.LEASE + timedelta(seconds=60))
    time.sleep(0.2)
    last = until(entry)
    time.sleep(0.2)
    assert until(entry) == last


def test_work_that_hangs_is_let_go_of(entry, monkeypatch):
    monkeypatch.setitem(renewal.LONGEST_WORK, OutboxEntry.Kind.SEND, timedelta(seconds=100))
    with renewal.renewed(entry, Clock()):
        time.sleep(0.5)
        assert until(entry) < NOON + timedelta(seconds=120) + entries.LEASE


def test_work_of_which_another_took_hold_is_not_renewed(entry):
    OutboxEntry.objects.update(attempts=entry.attempts + 1, leased_until=NOON)
    with renewal.renewed(entry, Clock()):
        time.sleep(0.2)
        assert until(entry) == NOON
    connection.close()
