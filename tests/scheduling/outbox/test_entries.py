"""The list of what is owed: written once, claimed by one, never lost."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection
from kombu.exceptions import OperationalError

from scheduling.models import OutboxEntry
from scheduling.outbox import entries
from tests import consequences
from tests.factories import NOON

pytestmark = pytest.mark.django_db
SEND = OutboxEntry.Kind.SEND
SECOND = timedelta(seconds=1)


@pytest.fixture
def rung(monkeypatch):
    """OutboxEntries for which the queue was rung."""
    heard = []
    monkeypatch.setattr(entries.app, "send_task", lambda name, args, **how: heard.append(args[0]))
    return heard


def test_an_entry_is_owed_once_for_each_key():
    first = entries.owe("send:1", SEND, {"notice": 1}, NOON, NOON)
    again = entries.owe("send:1", SEND, {"notice": 2}, NOON, NOON)
    assert first == again
    assert OutboxEntry.objects.get().payload == {"notice": 1}


def test_the_queue_is_rung_after_the_commit_and_once(django_capture_on_commit_callbacks, rung):
    with django_capture_on_commit_callbacks(execute=True):
        entry = entries.owe("send:1", SEND, {}, NOON, NOON)
        entries.owe("send:1", SEND, {}, NOON, NOON)
        assert rung == []
    assert rung == [entry.pk]


@pytest.mark.parametrize(
    ("due", "bell"),
    [
        (NOON + SECOND, True),  # not due yet: the sweep rings when it is
        (NOON, False),  # the caller does it itself
    ],
)
def test_the_queue_is_left_alone(django_capture_on_commit_callbacks, rung, due, bell):
    with django_capture_on_commit_callbacks(execute=True):
        entries.owe("send:1", SEND, {}, due, NOON, ring_bell=bell)
    assert rung == []


def test_a_queue_that_is_down_fails_nobody(monkeypatch, django_capture_on_commit_callbacks):
    def refuse(*args, **how):
        raise OperationalError("connection refused")

    monkeypatch.setattr(entries.app, "send_task", refuse)
    with django_capture_on_commit_callbacks(execute=True):
        entries.owe("send:1", SEND, {}, NOON, NOON)
    assert entries.owed(NOON).count() == 1


@pytest.mark.parametrize(
    "settled",
    [
        {"done_at": NOON},
        {"failed_at": NOON},
        {"due_at": NOON + SECOND},  # not due yet
        {"leased_until": NOON + SECOND},  # somebody is at it
    ],
)
def test_the_sweep_passes_over_what_is_settled_or_held(rung, settled):
    consequences.OutboxEntry(**settled)
    assert entries.sweep(NOON) == 0
    assert rung == []


def test_the_sweep_rings_for_what_is_due_and_for_leases_that_ran_out(rung):
    late = consequences.OutboxEntry(due_at=NOON - SECOND)
    abandoned = consequences.OutboxEntry(leased_until=NOON)
    assert entries.sweep(NOON) == 2
    assert rung == [late.pk, abandoned.pk]


def test_one_worker_claims_and_the_other_does_not():
    pk = consequences.OutboxEntry().pk
    mine = entries.claim(pk, NOON)
    assert mine is not None
    assert (mine.attempts, mine.leased_until) == (1, NOON + entries.LEASE)
    assert entries.claim(pk, NOON) is None


def test_an_entry_that_is_gone_is_claimed_by_nobody():
    assert entries.claim(12345, NOON) is None


def test_a_worker_whose_lease_ran_out_settles_nothing():
    pk = consequences.OutboxEntry().pk
    slow = entries.claim(pk, NOON)
    later = NOON + entries.LEASE
    quick = entries.claim(pk, later)
    assert not entries.finish(slow, later)
    assert not entries.back_off(slow, later, "too late")
    assert entries.finish(quick, later)
    assert not entries.give_up(slow, later, "too late")
    entry = OutboxEntry.objects.get()
    assert (entry.done_at, entry.failed_at, entry.error) == (later, None, "")


def test_waiting_doubles_up_to_a_cap():
    pk, now, waits = consequences.OutboxEntry().pk, NOON, []
    for _ in range(12):
        entries.back_off(entries.claim(pk, now), now, "mail server down")
        due = OutboxEntry.objects.get().due_at
        waits.append((due - now).total_seconds())
        now = due
    cap = entries.LONGEST_WAIT.total_seconds()
    for wait, least in zip(waits, [2, 4, 8, 16, *[cap] * 8], strict=True):
        if least < cap or wait >= cap:
            assert least <= wait <= least * (1 + entries.SPREAD)
    assert cap <= waits[-1] <= cap * (1 + entries.SPREAD)


def test_what_failed_at_one_moment_is_not_tried_again_at_one_moment():
    for _ in range(20):
        entries.back_off(entries.claim(consequences.OutboxEntry().pk, NOON), NOON, "server down")
    assert OutboxEntry.objects.values("due_at").distinct().count() > 10


def test_what_is_given_up_is_not_owed_any_more():
    pk = consequences.OutboxEntry().pk
    entries.give_up(entries.claim(pk, NOON), NOON, "550 no such user")
    assert not entries.owed(NOON + timedelta(days=1)).exists()
    assert OutboxEntry.objects.get().error == "550 no such user"


def test_only_what_was_done_long_ago_is_forgotten():
    consequences.OutboxEntry(done_at=NOON - entries.KEPT - SECOND)
    kept = {consequences.OutboxEntry(done_at=NOON).pk, consequences.OutboxEntry().pk}
    entries.forget_done(NOON)
    assert set(OutboxEntry.objects.values_list("pk", flat=True)) == kept


def test_no_work_outlives_the_visibility_timeout_of_redis():
    """Else Redis would hand a message out again while its entry is still being done."""
    assert max(entries.LONGEST_WORK.values()) < timedelta(seconds=3600)


def test_a_killed_workers_entry_is_free_within_a_minute_of_its_death(settings):
    sweep = settings.CELERY_BEAT_SCHEDULE["sweep"]["schedule"]
    assert entries.LEASE + timedelta(seconds=sweep) < timedelta(seconds=60)


def test_a_lease_is_renewed_by_its_holder_alone():
    pk = consequences.OutboxEntry().pk
    mine = entries.claim(pk, NOON)
    assert entries.renew(mine, NOON + 20 * SECOND)
    assert OutboxEntry.objects.get().leased_until == NOON + 20 * SECOND + entries.LEASE
    other = entries.claim(pk, NOON + 20 * SECOND + entries.LEASE)
    assert other is not None
    assert not entries.renew(mine, NOON + 60 * SECOND)
    assert entries.finish(other, NOON + 61 * SECOND)
    assert not entries.renew(other, NOON + 62 * SECOND)


@pytest.mark.django_db(transaction=True)
def test_of_many_workers_at_the_same_moment_one_claims():
    pk = consequences.OutboxEntry().pk
    start = Barrier(8)

    def work(_):
        try:
            start.wait()
            return entries.claim(pk, NOON) is not None
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(work, range(8))) == 1
    assert OutboxEntry.objects.get().attempts == 1


@pytest.mark.django_db(transaction=True)
def test_of_many_who_owe_the_same_at_the_same_moment_one_row_comes(monkeypatch):
    monkeypatch.setattr(entries.app, "send_task", lambda *args, **how: None)
    start = Barrier(8)

    def work(_):
        try:
            start.wait()
            return entries.owe("nightly:1:2026-03-02", OutboxEntry.Kind.NIGHTLY, {}, NOON, NOON).pk
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as pool:
        assert len(set(pool.map(work, range(8)))) == 1
    assert OutboxEntry.objects.count() == 1
