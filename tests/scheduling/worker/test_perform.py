"""What a worker does with an outbox entry, and what becomes of it when that goes wrong."""

from datetime import timedelta

import pytest

from scheduling.models import NightlyRun, OutboxEntry
from scheduling.outbox.entries import LONGEST_WORK, SPREAD, TryAgain
from scheduling.worker import perform
from scheduling.worker.perform import perform_entry
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
NIGHTLY, REFRESH, SEND = OutboxEntry.Kind.NIGHTLY, OutboxEntry.Kind.REFRESH, OutboxEntry.Kind.SEND


def fail_with(monkeypatch, kind, error):
    def do(entry, now):
        raise error

    monkeypatch.setitem(perform.DO, kind, do)


def nights(monkeypatch, ok=True):
    """Stand in for the night; return the shops for which it ran."""
    ran = []

    def run_night(shop, now):
        ran.append(shop)
        report = {"ok": ok, "stages": {} if ok else {"plan": {"failed": "no time"}}}
        NightlyRun.objects.update_or_create(
            shop=shop, day=now.date(),
            defaults={"started_at": now, "finished_at": now, "report": report},
        )  # fmt: skip
        return report

    monkeypatch.setattr(perform, "run_night", run_night)
    return ran


def test_every_kind_of_entry_can_be_done_and_has_a_longest_time():
    assert set(perform.DO) == set(LONGEST_WORK) == set(OutboxEntry.Kind)


def test_an_entry_that_somebody_holds_is_left_alone(monkeypatch):
    fail_with(monkeypatch, SEND, AssertionError("not to be done"))
    entry = consequences.OutboxEntry(leased_until=NOON + timedelta(minutes=1))
    assert not perform_entry(entry.pk, NOON)


@pytest.mark.parametrize("error", [TryAgain("451 try later"), RuntimeError("451 try later")])
def test_whatever_goes_wrong_the_entry_stays_owed(monkeypatch, error):
    fail_with(monkeypatch, SEND, error)
    entry = consequences.OutboxEntry()
    assert not perform_entry(entry.pk, NOON)
    entry.refresh_from_db()
    two = timedelta(seconds=2)
    assert NOON + two <= entry.due_at <= NOON + two * (1 + SPREAD)
    assert entry.leased_until is None
    assert "451 try later" in entry.error


def test_a_night_is_run_and_done(monkeypatch):
    shop = factories.Shop()
    ran = nights(monkeypatch)
    entry = consequences.OutboxEntry(kind=NIGHTLY, payload={"shop": shop.pk, "day": str(TODAY)})
    assert perform_entry(entry.pk, NOON)
    assert ran == [shop]


def test_a_night_with_a_failed_stage_is_run_again_later(monkeypatch):
    shop = factories.Shop()
    nights(monkeypatch, ok=False)
    entry = consequences.OutboxEntry(kind=NIGHTLY, payload={"shop": shop.pk, "day": str(TODAY)})
    assert not perform_entry(entry.pk, NOON)
    entry.refresh_from_db()
    assert (entry.done_at, entry.error) == (None, "plan: no time")


def test_nights_owed_while_the_machine_was_off_are_one_run(monkeypatch):
    """The run of the current day serves every entry that was written down before it began."""
    shop = factories.Shop()
    ran = nights(monkeypatch)
    old, new = (
        consequences.OutboxEntry(kind=NIGHTLY, payload={"shop": shop.pk}, made_at=made).pk
        for made in (NOON - timedelta(days=1), NOON)
    )
    assert perform_entry(old, NOON)
    assert perform_entry(new, NOON)
    assert ran == [shop]


def test_the_next_night_is_run_again(monkeypatch):
    shop, tomorrow = factories.Shop(), NOON + timedelta(days=1)
    ran = nights(monkeypatch)
    perform_entry(consequences.OutboxEntry(kind=NIGHTLY, payload={"shop": shop.pk}).pk, NOON)
    later = consequences.OutboxEntry(kind=NIGHTLY, payload={"shop": shop.pk}, made_at=tomorrow)
    perform_entry(later.pk, tomorrow)
    assert ran == [shop, shop]


def test_the_night_of_a_shop_that_is_gone_is_nothing_to_do():
    assert perform_entry(consequences.OutboxEntry(kind=NIGHTLY, payload={"shop": 12345}).pk, NOON)


def test_machines_are_computed_again_and_the_desk_is_warned(monkeypatch):
    calls = []
    monkeypatch.setattr(perform, "refresh", lambda ids, now: calls.append(("refresh", ids)))
    monkeypatch.setattr(
        perform, "warn_of_risks", lambda shop, now, ids, **more: calls.append((shop.name, ids))
    )
    machine = factories.Machine(yard__shop__name="Cold Fork")
    entry = consequences.OutboxEntry(kind=REFRESH, payload={"machines": [machine.pk]})
    assert perform_entry(entry.pk, NOON)
    assert calls == [("refresh", [machine.pk]), ("Cold Fork", [machine.pk])]


def test_what_is_broken_in_one_shop_stops_no_other(monkeypatch):
    """Machines of two shops in one entry: the good one is worked out and told, the other said."""
    told, refreshed = [], []
    good, bad = (
        factories.Machine(yard__shop__name="Good"),
        factories.Machine(yard__shop__name="Bad"),
    )

    def refresh(ids, now):
        if bad.pk in ids:
            raise ArithmeticError("an interval of nothing")
        refreshed.extend(ids)

    def warn(shop, now, ids, **more):
        if shop.name == "Bad":
            raise ArithmeticError("an interval of nothing")
        told.append(shop.name)

    monkeypatch.setattr(perform, "refresh", refresh)
    monkeypatch.setattr(perform, "warn_of_risks", warn)
    entry = consequences.OutboxEntry(kind=REFRESH, payload={"machines": [bad.pk, good.pk]})
    assert not perform_entry(entry.pk, NOON)
    entry.refresh_from_db()
    assert (refreshed, told) == ([good.pk], ["Good"])
    assert "Bad: The program came upon something" in entry.error
    assert entry.done_at is None
