"""The short form of the acts' race: one round of each whose eight presses nothing else tries."""

import pytest

from tests.benchmarks.act_race import Raced, race

pytestmark = pytest.mark.django_db(transaction=True)


def test_eight_presses_at_once_act_once():
    raced = Raced()
    race(raced, 8, ["check out", "return", "hold", "release"])
    assert {name: dict(one) for name, one in raced.effects.items()} == {
        name: {1: 1} for name in ("check out", "return", "hold", "release")
    }
    assert raced.faults == 0, (raced.statuses, raced.unlike)


def test_what_acts_more_than_once_is_counted_as_a_fault(monkeypatch):
    monkeypatch.setattr("fleet.once._key", lambda request: "")  # as if forms had no keys
    monkeypatch.setattr("fleet.views.hold_pages.place_hold", _hang_anew)
    raced = Raced()
    race(raced, 2, ["hold"])
    assert raced.effects["hold"] == {2: 1}
    assert raced.faults == 1


def _hang_anew(new, *, by, now, at):
    from tests import factories  # noqa: PLC0415

    return factories.Hold(machine=new.machine, placed_by=by, placed_at=at or now, reason=new.reason)
