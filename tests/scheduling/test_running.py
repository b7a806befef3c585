"""What a worker does with an errand, and what becomes of it when that goes wrong."""

from datetime import timedelta

import pytest

from scheduling import running
from scheduling.errands import LEASES, TryAgain
from scheduling.models import Errand, NightlyRun
from scheduling.running import run_errand
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
NIGHTLY, REFRESH, SEND = Errand.Kind.NIGHTLY, Errand.Kind.REFRESH, Errand.Kind.SEND


def fail_with(monkeypatch, kind, error):
    def do(errand, now):
        raise error

    monkeypatch.setitem(running.DO, kind, do)


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

    monkeypatch.setattr(running, "run_night", run_night)
    return ran


def test_every_kind_of_errand_can_be_done_and_has_a_lease():
    assert set(running.DO) == set(LEASES) == set(Errand.Kind)


def test_an_errand_that_somebody_holds_is_left_alone(monkeypatch):
    fail_with(monkeypatch, SEND, AssertionError("not to be done"))
    errand = consequences.Errand(leased_until=NOON + timedelta(minutes=1))
    assert not run_errand(errand.pk, NOON)


@pytest.mark.parametrize("error", [TryAgain("451 try later"), RuntimeError("451 try later")])
def test_whatever_goes_wrong_the_errand_stays_owed(monkeypatch, error):
    fail_with(monkeypatch, SEND, error)
    errand = consequences.Errand()
    assert not run_errand(errand.pk, NOON)
    errand.refresh_from_db()
    assert (errand.due_at, errand.leased_until) == (NOON + timedelta(seconds=2), None)
    assert "451 try later" in errand.error


def test_a_night_is_run_and_done(monkeypatch):
    shop = factories.Shop()
    ran = nights(monkeypatch)
    errand = consequences.Errand(kind=NIGHTLY, payload={"shop": shop.pk, "day": str(TODAY)})
    assert run_errand(errand.pk, NOON)
    assert ran == [shop]


def test_a_night_with_a_failed_stage_is_run_again_later(monkeypatch):
    shop = factories.Shop()
    nights(monkeypatch, ok=False)
    errand = consequences.Errand(kind=NIGHTLY, payload={"shop": shop.pk, "day": str(TODAY)})
    assert not run_errand(errand.pk, NOON)
    errand.refresh_from_db()
    assert (errand.done_at, errand.error) == (None, "plan: no time")


def test_nights_owed_while_the_machine_was_off_are_one_run(monkeypatch):
    """The run of the current day serves every errand that was written down before it began."""
    shop = factories.Shop()
    ran = nights(monkeypatch)
    old, new = (
        consequences.Errand(kind=NIGHTLY, payload={"shop": shop.pk}, made_at=made).pk
        for made in (NOON - timedelta(days=1), NOON)
    )
    assert run_errand(old, NOON)
    assert run_errand(new, NOON)
    assert ran == [shop]


def test_the_next_night_is_run_again(monkeypatch):
    shop, tomorrow = factories.Shop(), NOON + timedelta(days=1)
    ran = nights(monkeypatch)
    run_errand(consequences.Errand(kind=NIGHTLY, payload={"shop": shop.pk}).pk, NOON)
    later = consequences.Errand(kind=NIGHTLY, payload={"shop": shop.pk}, made_at=tomorrow)
    run_errand(later.pk, tomorrow)
    assert ran == [shop, shop]


def test_the_night_of_a_shop_that_is_gone_is_nothing_to_do():
    assert run_errand(consequences.Errand(kind=NIGHTLY, payload={"shop": 12345}).pk, NOON)


def test_machines_are_computed_again_and_the_desk_is_warned(monkeypatch):
    calls = []
    monkeypatch.setattr(running, "refresh", lambda ids, now: calls.append(("refresh", ids)))
    monkeypatch.setattr(
        running, "warn_of_risks", lambda shop, now, ids: calls.append((shop.name, ids))
    )
    machine = factories.Machine(yard__shop__name="Cold Fork")
    errand = consequences.Errand(kind=REFRESH, payload={"machines": [machine.pk]})
    assert run_errand(errand.pk, NOON)
    assert calls == [("refresh", [machine.pk]), ("Cold Fork", [machine.pk])]
