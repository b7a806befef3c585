"""The demo lives on: days between are filled in, and what people did meanwhile stands."""

from datetime import UTC, datetime, timedelta

import pytest

from fleet.demo.roll import roll
from fleet.models import (
    Booking,
    DemoMark,
    HandOver,
    Hold,
    Machine,
    Meter,
    Person,
    Reading,
    ServiceRecord,
)
from fleet.queries.standing_readings import standing
from tests.fleet.demo.conftest import TODAY

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]
LATER = TODAY + timedelta(days=9)


def count():
    rows = (Reading, Booking, HandOver, ServiceRecord)
    return [table.objects.count() for table in rows]


def test_days_between_are_filled_in():
    before = count()
    assert roll(LATER) == 9
    assert all(b > a for a, b in zip(before, count(), strict=True))
    assert DemoMark.objects.get().lived_to == LATER
    assert standing().filter(read_at__date__gte=LATER - timedelta(days=2)).exists()


def test_a_second_call_on_the_same_day_does_nothing():
    roll(LATER)
    once = count()
    assert roll(LATER) == 0
    assert roll(TODAY) == 0
    assert count() == once


def test_everything_that_should_have_happened_has():
    roll(LATER)
    gone = Booking.objects.filter(first_day__lt=LATER, machine__holds=None)
    back = Booking.objects.filter(last_day__lt=LATER, machine__holds=None)
    assert not gone.exclude(hand_overs__direction="out").exists()
    assert not back.exclude(hand_overs__direction="back").exists()
    assert not HandOver.objects.filter(at__gt=datetime(2026, 12, 4, 12, tzinfo=UTC)).exists()


def test_no_fact_that_was_there_is_changed():
    kept = dict(Reading.objects.values_list("pk", "value"))
    booked = dict(Booking.objects.values_list("pk", "last_day"))
    roll(LATER)
    assert kept.items() <= dict(Reading.objects.values_list("pk", "value")).items()
    assert booked.items() <= dict(Booking.objects.values_list("pk", "last_day")).items()


def test_meters_go_on_from_what_people_read():
    machine = Machine.objects.get(tag="K-05")
    meter = Meter.objects.get(machine=machine, removed_at=None)
    last = standing().filter(meter=meter).latest("read_at")
    at = datetime(2026, 11, 26, 2, tzinfo=UTC)
    Reading.objects.create(
        meter=meter, read_at=at, value=last.value + 400, source="bench", entered_at=at
    )
    roll(LATER)
    after = standing().filter(meter=meter, read_at__gt=at)
    assert after.exists()
    assert all(r.value >= last.value + 400 for r in after)


def test_a_held_machine_is_left_alone():
    machine = Machine.objects.get(tag="Q-05")
    booking = Booking.objects.filter(machine=machine, first_day__gte=TODAY)
    Hold.objects.create(
        machine=machine,
        placed_at=datetime(2026, 11, 25, 15, tzinfo=UTC),
        placed_by=Person.objects.get(username="ingrid"),
        reason="brakes",
    )
    roll(LATER)
    assert not HandOver.objects.filter(booking__in=booking).exists()


def test_what_the_desk_did_itself_is_not_done_twice():
    booking = (
        Booking.objects.filter(first_day=TODAY).first()
        or Booking.objects.filter(first_day__gt=TODAY, first_day__lt=LATER).first()
    )
    HandOver.objects.create(
        booking=booking, direction="out", at=datetime(2026, 11, 25, 15, tzinfo=UTC)
    )
    roll(LATER)
    assert booking.hand_overs.filter(direction="out").count() == 1


def test_bookings_still_never_overlap():
    roll(LATER)
    ends = {}
    for machine, first, last in Booking.objects.order_by("machine", "first_day").values_list(
        "machine", "first_day", "last_day"
    ):
        assert ends.get(machine, TODAY.min) < first
        ends[machine] = last


def test_day_by_day_the_shop_works_about_as_much_as_before():
    usual = ServiceRecord.objects.filter(done_at__date__gte=TODAY - timedelta(days=10)).count()
    before = ServiceRecord.objects.count()
    for n in range(1, 11):
        roll(TODAY + timedelta(days=n))
    assert 0.3 * usual < ServiceRecord.objects.count() - before < 2.5 * usual
