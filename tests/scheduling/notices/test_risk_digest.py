"""What a desk reads: one letter a booking, one digest a day, at once for the next two days alone.

The shop warns three days before; the booking of the fixtures runs from Thu 5 to Sun 8 March.
"""

from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest

from scheduling.forms.counter_forms import QuestionForm
from scheduling.models import Block, Notice, ToldRisk
from scheduling.notices.risk_warnings import warn_of_risks
from tests import consequences, factories
from tests.factories import NOON, TODAY

DAY = timedelta(days=1)


def overdue(booking, services=1):
    """Let services of a booked machine be overdue."""
    return [
        consequences.Block(machine=booking.machine, kind=Block.Kind.OVERDUE)
        for _ in range(services)
    ]


def another_booking(booking, first=TODAY + 2 * DAY, tag="SL-05"):
    machine = factories.Machine(tag=tag, yard=booking.machine.yard)
    return factories.Booking(
        machine=machine, first_day=first, last_day=first + DAY, customer="Low Gap dairy"
    )


def by_day(shop, booking, now=NOON):
    """Warn as after a change of the booking's machine."""
    return warn_of_risks(shop, now, [booking.machine_id])


def test_one_letter_a_booking_whatever_the_number_of_services(shop, booking, desk):
    blocks = overdue(booking, services=4)
    assert warn_of_risks(shop, NOON) == 1
    notice = Notice.objects.get()
    assert notice.subject.startswith("SL-04 is overdue and booked: Alder Creek fencing")
    for block in blocks:
        assert str(block.due_point.service) in notice.text
        assert str(block.due_point.service) in notice.html
    assert ToldRisk.objects.count() == 4
    assert warn_of_risks(shop, NOON + DAY) == 0


def test_a_night_tells_several_bookings_in_one_digest(shop, booking, desk):
    overdue(booking, services=2)
    overdue(another_booking(booking), services=3)
    assert warn_of_risks(shop, NOON) == 1
    notice = Notice.objects.get()
    assert notice.subject == "2 bookings newly at risk: the first to go out in 2 days"
    assert (notice.day, notice.booking, notice.person) == (TODAY, None, desk)
    assert notice.text.index("Low Gap dairy") < notice.text.index("Alder Creek fencing")
    assert warn_of_risks(shop, NOON) == 0


def test_the_next_digest_tells_the_new_in_full_and_the_old_in_a_line(shop, booking, desk):
    overdue(booking)
    warn_of_risks(shop, NOON)
    for n in (1, 2):
        overdue(another_booking(booking, tag=f"SL-1{n}"))
    assert warn_of_risks(shop, NOON + DAY) == 1
    text = Notice.objects.get(day=TODAY + DAY).text
    assert text.index("Low Gap dairy") < text.index("Told before") < text.index("Alder Creek")


def test_each_of_the_desk_has_one(shop, booking, desk):
    factories.Person(shop=shop, role="desk")
    overdue(booking)
    overdue(another_booking(booking))
    assert warn_of_risks(shop, NOON) == 2
    assert warn_of_risks(shop, NOON) == 0


def test_by_day_only_the_next_two_days_are_told_at_once(shop, booking, desk):
    overdue(booking)
    assert by_day(shop, booking) == 0  # it goes out in three days
    assert warn_of_risks(shop, NOON) == 1  # the night tells it
    near = another_booking(booking)
    overdue(near)
    assert by_day(shop, near) == 1
    assert Notice.objects.latest("pk").booking == near


def test_a_second_run_of_the_same_night_waits_with_what_is_far(shop, booking, desk):
    overdue(booking)
    overdue(another_booking(booking))
    warn_of_risks(shop, NOON)
    overdue(another_booking(booking, first=TODAY + 3 * DAY, tag="SL-06"))
    overdue(another_booking(booking, first=TODAY + DAY, tag="SL-07"))
    assert warn_of_risks(shop, NOON) == 1
    assert Notice.objects.latest("pk").machine.tag == "SL-07"
    assert warn_of_risks(shop, NOON + DAY) == 1
    assert Notice.objects.latest("pk").machine.tag == "SL-06"


def test_a_letter_is_over_once_all_that_it_told_is_gone(shop, booking, desk):
    first, second = overdue(booking, services=2)
    warn_of_risks(shop, NOON)
    first.delete()
    warn_of_risks(shop, NOON)
    assert Notice.objects.get().over_at is None
    second.delete()
    warn_of_risks(shop, NOON)
    assert Notice.objects.get().over_at == NOON


def test_part_of_a_letter_that_went_and_came_again_is_told_again(shop, booking, desk):
    first, _ = overdue(booking, services=2)
    warn_of_risks(shop, NOON)
    point = first.due_point
    first.delete()
    warn_of_risks(shop, NOON)
    consequences.Block(machine=booking.machine, kind=Block.Kind.OVERDUE, due_point=point)
    assert warn_of_risks(shop, NOON) == 1
    assert warn_of_risks(shop, NOON) == 0


@pytest.mark.parametrize("many", [False, True])
def test_the_link_asks_the_counter_for_the_class_and_the_days(shop, booking, desk, many):
    overdue(booking)
    if many:
        overdue(another_booking(booking))
    warn_of_risks(shop, NOON)
    line = next(
        line for line in Notice.objects.get().text.splitlines()
        if "Another machine" in line and "2026-03-08" in line
    )  # fmt: skip
    asked = parse_qs(urlsplit(line.split(": ", 1)[1]).query)
    form = QuestionForm({key: value[0] for key, value in asked.items()}, person=desk, today=TODAY)
    assert form.is_valid(), form.errors
    assert form.cleaned_data["machine_class"] == booking.machine.makeup.machine_class
    assert form.cleaned_data["first_day"] == booking.first_day


def test_queries_do_not_grow_with_the_letters(shop, booking, desk, django_assert_max_num_queries):
    for n in range(15):
        overdue(another_booking(booking, tag=f"SL-{10 + n}"), services=2)
    with django_assert_max_num_queries(25):
        assert warn_of_risks(shop, NOON) == 1
