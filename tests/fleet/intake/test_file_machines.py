"""A file's machines are loaded once, and again where something of them changed between batches."""

from datetime import timedelta

import pytest

from fleet.actions.fit_meters import lock_machines
from fleet.intake.file_machines import FileMachines
from fleet.intake.resolving import MachinesByTag
from fleet.models import Machine, Meter
from tests import factories
from tests.factories import NOON

TAGS = ["Q-12", "Q-13", "nobody"]


@pytest.fixture
def known(db):
    for tag in TAGS[:2]:
        factories.Meter(machine__tag=tag)
    return FileMachines(lock_machines)


@pytest.fixture
def loads(monkeypatch):
    """How often machines were loaded that were found."""
    seen, whole = [], MachinesByTag.named

    def named(tags):
        found = whole(tags)
        seen.extend([1] if found.by_tag else [])
        return found

    monkeypatch.setattr(MachinesByTag, "named", named)
    return seen


def test_what_stands_as_it_was_is_not_loaded_again(known, loads):
    first = known.locked(TAGS)
    assert known.locked(reversed(TAGS)) is first
    assert known.locked(TAGS[:1]) is first
    assert len(loads) == 1


@pytest.mark.parametrize(
    ("model", "change"),
    [
        (Machine, {"tag": "Q-99"}),
        (Meter, {"first_value": 7.0}),
        (Meter, {"removed_at": NOON}),
        (Meter, {"rolls_over_at": 9999.0}),
        (Meter, {"struck_at": NOON}),
    ],
)
def test_what_changed_in_between_is_seen(known, loads, model, change):
    known.locked(TAGS)
    row = model.objects.order_by("pk").first()
    model.objects.filter(pk=row.pk).update(**change)
    named = known.locked(TAGS)
    anew = MachinesByTag.named(TAGS)
    assert len(loads) == 3
    assert {m.tag for m in named.all} == {m.tag for m in anew.all}
    assert [vars_of(named, m) for m in TAGS] == [vars_of(anew, m) for m in TAGS]


def vars_of(named, tag):
    machine = named.find(tag)
    meters = named.fittings.by_place.get((machine.pk, "hours"), []) if machine else []
    return [(m.first_value, m.removed_at, m.rolls_over_at) for m in meters]


def test_a_swap_and_a_machine_that_came_are_seen(known):
    assert known.locked(TAGS).find("nobody") is None
    factories.Meter(machine__tag="nobody")
    machine = known.locked(TAGS).find("nobody")
    assert machine is not None
    old = Meter.objects.get(machine=machine)
    Meter.objects.filter(pk=old.pk).update(removed_at=NOON, last_value=9.0)
    new = factories.Meter(machine=machine, fitted_at=NOON)
    found = known.locked(TAGS).fittings.at(machine.pk, "hours", NOON + timedelta(days=1))
    assert found == new
