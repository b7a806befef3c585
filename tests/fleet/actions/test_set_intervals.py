"""Intervals are set, changed, copied and taken out, and the change log tells of it."""

import pytest

from fleet.actions.set_intervals import (
    copy_intervals,
    set_for_class,
    set_interval,
    take_out_interval,
)
from fleet.models import Covering, Interval, LoggedChange
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    return factories.Person()


def new(makeup, **fields):
    service = fields.pop("service", None) or factories.Service()
    given = {"meter_kind": "hours", "every": 100.0, **fields}
    return Interval(service=service, makeup=makeup, **given)


def test_a_change_is_logged_with_old_and_new(person):
    makeup = factories.MakeUp()
    row = set_interval(new(makeup), by=person, now=NOON)
    set_interval(new(makeup, service=row.service, every=150.0), by=person, now=NOON)
    assert Interval.objects.get().every == 150.0
    change = LoggedChange.objects.first()
    assert (change.act, change.by) == ("changed", person)
    assert change.values == [{"field": "every, on the meter", "old": "100 h", "new": "150 h"}]


def test_the_same_again_changes_nothing(person):
    makeup = factories.MakeUp()
    row = set_interval(new(makeup), by=person, now=NOON)
    set_interval(new(makeup, service=row.service), by=person, now=NOON)
    assert LoggedChange.objects.count() == 1


def test_a_class_gets_it_on_every_make_up(person):
    makeup = factories.MakeUp()
    other = factories.MakeUp(machine_class=makeup.machine_class)
    factories.MakeUp()
    assert set_for_class(new(makeup), by=person, now=NOON) == 2
    assert set(Interval.objects.values_list("makeup", flat=True)) == {makeup.pk, other.pk}


def test_a_copy_keeps_what_is_there_and_marks_its_page(person):
    source, makeup = factories.MakeUp(), factories.MakeUp()
    oil = set_interval(new(source, source="page 41", late=10.0), by=person, now=NOON)
    set_interval(new(source), by=person, now=NOON)
    own = set_interval(new(makeup, every=80.0, service=oil.service), by=person, now=NOON)
    done = copy_intervals(list(source.intervals.all()), makeup, by=person, now=NOON)
    assert len(done) == 1
    own.refresh_from_db()
    assert own.every == 80.0
    own.delete()
    [copy] = copy_intervals([oil], makeup, by=person, now=NOON)
    assert (copy.source, copy.late) == ("page 41 (copied)", 10.0)


def test_what_it_covers_is_set_logged_and_copied(person):
    makeup, other = factories.MakeUp(), factories.MakeUp()
    grease, filters = factories.Service(name="Grease"), factories.Service(name="Filters")
    row = set_interval(new(makeup), by=person, now=NOON, covers=[grease, filters])
    set_interval(row, by=person, now=NOON, covers=[grease])
    assert LoggedChange.objects.first().values == [
        {"field": "also counts as", "old": "Filters, Grease", "new": "Grease"}
    ]
    set_interval(row, by=person, now=NOON)
    copy_intervals([row], other, by=person, now=NOON)
    assert set(Covering.objects.values_list("makeup", "service", "covered")) == {
        (makeup.pk, row.service_id, grease.pk), (other.pk, row.service_id, grease.pk),
    }  # fmt: skip


def test_taken_out_it_is_gone_and_the_log_keeps_what_it_was(person):
    row = set_interval(new(factories.MakeUp()), by=person, now=NOON)
    pk = row.pk
    take_out_interval(row, by=person, now=NOON)
    assert not Interval.objects.exists()
    change = LoggedChange.objects.first()
    assert (change.act, change.subject_id) == ("taken out", pk)
    assert {"field": "every, on the meter", "old": "100 h", "new": ""} in change.values
