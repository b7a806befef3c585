"""What a past night knew: nothing that came later may change what it plans."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.models import (
    Absence,
    Booking,
    BookingChange,
    HandOver,
    Machine,
    Meter,
    Person,
    Service,
    Storage,
)
from scheduling.hindsight.past_loading import load_past
from tests import factories as make
from tests.scheduling.hindsight.past_case import (
    FIRST,
    LAST,
    NOW,
    TODAY,
    at,
    booked,
    made_past,
    problem_of,
)

pytestmark = pytest.mark.django_db

NIGHT = 64
DAY = FIRST + timedelta(days=NIGHT)


@pytest.fixture
def shop():
    return made_past()


def later_reading(shop):
    """Most of a week's use falls on the next day."""
    for meter in Meter.objects.all():
        last = meter.readings.filter(read_at__lt=at(DAY)).latest("read_at").value
        after = meter.readings.filter(read_at__gt=at(DAY + timedelta(days=1))).earliest("read_at")
        value = last + 0.6 * (after.value - last)
        make.Reading(meter=meter, read_at=at(DAY + timedelta(days=1)), value=value)


def later_service(shop):
    for machine in Machine.objects.all():
        make.ServiceRecord(machine=machine, service=Service.objects.get(), done_at=at(DAY),
                           minutes=400)  # fmt: skip


def later_repair(shop):
    for machine in Machine.objects.all():
        make.ServiceRecord(machine=machine, service=None, done_at=at(DAY), minutes=400)
        make.Finding(machine=machine, seen_at=at(DAY), settled_at=at(DAY + timedelta(days=2)))


def later_booking(shop):
    for machine in Machine.objects.filter(bookings=None):
        booked(machine, DAY, DAY + timedelta(days=9), made=DAY)


def later_word_of_bookings(shop):
    for row in Booking.objects.filter(last_day__gte=DAY):
        BookingChange.objects.create(booking=row, old_last_day=row.last_day, at=at(DAY),
                                     new_last_day=row.last_day + timedelta(days=5))  # fmt: skip
        row.last_day += timedelta(days=5)
        row.cancelled_at = at(DAY)
        row.save()
    HandOver.objects.filter(at__gte=at(DAY)).delete()


def later_absence(shop):
    Absence.objects.create(person=Person.objects.get(username="ada"), first_day=DAY,
                           last_day=DAY + timedelta(days=6), at=at(DAY))  # fmt: skip


def later_storage(shop):
    for machine in Machine.objects.all():
        Storage.objects.create(machine=machine, first_day=DAY + timedelta(days=1))


LATER = [later_reading, later_service, later_repair, later_booking, later_word_of_bookings,
         later_absence, later_storage]  # fmt: skip


def test_what_came_later_changes_nothing_of_what_a_night_plans(shop):
    """One thing after the other happens; each changes a later night, so that this can fail."""
    before, later = problem_of(shop, NIGHT), problem_of(shop, NIGHT + 8)
    assert before["tasks"]
    for happen in LATER:
        happen(shop)
        assert problem_of(shop, NIGHT) == before, happen.__name__
        since = problem_of(shop, NIGHT + 8)
        assert since != later, happen.__name__
        later = since


def test_a_booking_brought_in_afterwards_counts_as_known_a_week_before(shop):
    machine = Machine.objects.filter(bookings=None).first()
    make.Booking(machine=machine, first_day=DAY, last_day=DAY, made_at=NOW)
    loaded = load_past(shop, FIRST, LAST, NOW)
    assert loaded.late == 1
    assert NIGHT - 7 in [b.made for b in loaded.past.bookings if b.first == NIGHT]


def test_a_service_of_which_nothing_was_known_counts_from_its_first_entry_on(shop):
    """Each course learns of it that day, and its minutes are work of that day."""
    service = make.Interval(makeup=Machine.objects.first().makeup, meter_kind="", every=None,
                            every_days=30, service__minutes=25).service  # fmt: skip
    machine = Machine.objects.first()
    Machine.objects.update(started_on=None)
    make.ServiceRecord(machine=machine, service=service, done_at=at(DAY), minutes=45)
    past = load_past(shop, FIRST, LAST, NOW).past
    ours = [n for n, key in enumerate(past.lines.service.tolist()) if key == service.pk]
    assert [past.lines.since[n] for n in ours] == [NIGHT + 1, 121, 121, 121]
    assert [(given.line, int(given.at)) for given in past.given] == [(ours[0], NIGHT)]
    assert [(work.minutes, int(work.at)) for work in past.fixed] == [(45, NIGHT)]


def test_the_number_of_queries_does_not_grow_with_the_fleet(shop):
    with CaptureQueriesContext(connection) as few:
        load_past(shop, FIRST, LAST, NOW)
    for machine in Machine.objects.all():
        more = make.Machine(yard=machine.yard, makeup=machine.makeup)
        make.Meter(machine=more)
        booked(more, TODAY - timedelta(days=30), TODAY - timedelta(days=28),
               made=TODAY - timedelta(days=40))  # fmt: skip
    with CaptureQueriesContext(connection) as many:
        load_past(shop, FIRST, LAST, NOW)
    assert len(many) == len(few) <= 45
