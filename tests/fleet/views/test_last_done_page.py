"""Last done: machines beside services, typed in one sweep.  Now is Monday noon, 2 March 2026."""

from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from fleet.models import LastDoneAnswer, MeterKind, Role, ServiceRecord, Units
from tests import factories
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def yard():
    return factories.Yard(time_zone="America/Denver", units=Units.US)


@pytest.fixture
def machine(yard):
    """1,480 h a week ago; an oil change every 100 h and an inspection every 12 months."""
    machine = factories.Machine(tag="MX-02", yard=yard, started_on=date(2020, 1, 1))
    meter = factories.Meter(machine=machine, fitted_at=datetime(2020, 1, 1, 12, tzinfo=UTC))
    factories.Reading(meter=meter, value=1480.0, read_at=datetime(2026, 2, 23, tzinfo=UTC))
    factories.Interval(makeup=machine.makeup, service__name="Oil change", every=100.0)
    factories.Interval(
        makeup=machine.makeup, service__name="Inspection", meter_kind="", every=None,
        every_months=12,
    )  # fmt: skip
    return machine


def url(machine):
    return reverse("last-done-of-class", args=[machine.makeup.machine_class_id])


def typed(machine, name, **fields):
    service = machine.makeup.intervals.get(service__name=name).service
    return {f"{field}-{machine.pk}-{service.pk}": text for field, text in fields.items()}


def send(client, machine, *cells, key="page-1"):
    data = {"key": key, "page": "1"}
    for cell in cells:
        data |= cell
    return client.post(url(machine), data, follow=True)


def test_the_page_asks_for_what_nobody_has_said(client, machine):
    sign_in(client, shop=machine.yard.shop)
    page = client.get(url(machine))
    assert "2 on this page are still to say" in answer(page)
    assert "Showed, h" in words(page)
    assert "2 of 2 services" in answer(client.get(reverse("last-done")))


def test_days_and_meters_are_taken_in_one_sweep_as_they_are_written(client, machine):
    sign_in(client, shop=machine.yard.shop)
    page = send(
        client, machine,
        typed(machine, "Oil change", day="2/3/26", shown="1,450 h"),
        typed(machine, "Inspection", day="14 Nov"),
    )  # fmt: skip
    assert "2 services put into the book" in words(page)
    oil = ServiceRecord.objects.get(service__name="Oil change")
    assert oil.done_at == datetime(2026, 2, 3, 19, tzinfo=UTC)  # noon in Denver
    assert oil.meters.get().value == 1450.0
    inspection = ServiceRecord.objects.get(service__name="Inspection")
    assert inspection.done_at.date() == date(2025, 11, 14)
    assert "3 Feb 2026, 1,450.0 h" in words(page)
    assert "All of these have their last date" in answer(page)


def test_miles_of_the_yard_are_stored_as_metres(client, machine):
    factories.Meter(machine=machine, kind=MeterKind.DISTANCE, fitted_at=NOON.replace(year=2020))
    factories.Interval(
        makeup=machine.makeup, service__name="Tyres", meter_kind=MeterKind.DISTANCE, every=5e6
    )
    sign_in(client, shop=machine.yard.shop)
    send(client, machine, typed(machine, "Tyres", day="1 Feb", shown="100"))
    assert ServiceRecord.objects.get().meters.get().value == pytest.approx(160934.4)


def test_never_and_not_known_are_kept_and_not_known_is_due_at_once(
    client, machine, django_capture_on_commit_callbacks
):
    sign_in(client, shop=machine.yard.shop)
    with django_capture_on_commit_callbacks(execute=True):
        page = send(
        client, machine,
        typed(machine, "Oil change", said="unknown"), typed(machine, "Inspection", said="never"),
    )  # fmt: skip
    assert "2 answers kept" in words(page)
    said = dict(LastDoneAnswer.objects.values_list("service__name", "answer"))
    assert said == {"Oil change": "unknown", "Inspection": "never"}
    shown = words(client.get(reverse("machine", args=["MX-02"])))
    assert "nobody knows when it was last done, so look at it first" in shown.lower()


def test_a_bad_cell_is_said_at_the_cell_and_the_rest_is_taken(client, machine):
    sign_in(client, shop=machine.yard.shop)
    page = send(
        client, machine,
        typed(machine, "Oil change", day="31 Feb", shown="1450"),
        typed(machine, "Inspection", day="14 Nov"),
    )  # fmt: skip
    assert "1 cell needs another look; the rest is in the book" in answer(page)
    assert "not a day of the calendar" in words(page)
    assert 'value="31 Feb"' in page.text
    assert 'value="1450"' in page.text
    assert ServiceRecord.objects.get().service.name == "Inspection"


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ({"shown": "1450"}, "Write the day too"),
        ({"day": "3 Mar 2026"}, "still to come"),
        ({"day": "1 Feb", "shown": "9000"}, "leave the meter empty"),  # it showed 1,480 h later
        ({"day": "1 Feb", "shown": "-3"}, "below zero"),
        ({"day": "1 Feb", "shown": "300 mi"}, "not a unit of an hour meter"),
        ({"day": "1 Feb", "said": "never"}, "take one of them out"),
        ({"day": "1 Feb 1900"}, "look at the year again"),
    ],
)
def test_what_cannot_be_is_said(client, machine, cell, said):
    sign_in(client, shop=machine.yard.shop)
    assert said in words(send(client, machine, typed(machine, "Oil change", **cell)))
    assert not ServiceRecord.objects.exists()


def test_before_the_meter_was_put_in_it_can_only_have_shown_less(client, machine):
    meter = machine.meters.get()
    meter.readings.all().delete()
    meter.fitted_at, meter.first_value = datetime(2026, 2, 20, tzinfo=UTC), 1480.0
    meter.save()
    sign_in(client, shop=machine.yard.shop)
    page = send(client, machine, typed(machine, "Oil change", day="1 Feb", shown="1490"))
    assert "stood at 1,480.0 h" in words(page)
    send(client, machine, typed(machine, "Oil change", day="1 Feb", shown="1450"))
    assert ServiceRecord.objects.get().meters.get().meter == meter


def test_two_cells_of_one_machine_cannot_contradict_each_other(client, machine):
    factories.Interval(makeup=machine.makeup, service__name="Grease", every=50.0)
    sign_in(client, shop=machine.yard.shop)
    page = send(
        client, machine,
        typed(machine, "Oil change", day="1 Feb", shown="1450"),
        typed(machine, "Grease", day="2 Feb", shown="1400"),
    )  # fmt: skip
    assert "1 cell needs another look" in answer(page)
    assert ServiceRecord.objects.get().service.name == "Oil change"


def test_sent_twice_is_one_entry(client, machine):
    sign_in(client, shop=machine.yard.shop)
    for _ in range(2):
        send(client, machine, typed(machine, "Oil change", day="1 Feb"))
    assert ServiceRecord.objects.count() == 1


def test_the_due_points_follow(client, machine, django_capture_on_commit_callbacks):
    """Overdue by 1,380 h from the start; 70 h to go from what was done at 1,450 h."""
    sign_in(client, shop=machine.yard.shop)
    with django_capture_on_commit_callbacks(execute=True):
        send(client, machine, typed(machine, "Oil change", day="1 Feb", shown="1450"))
    due = machine.due_points.get(service__name="Oil change")
    assert (due.state, due.due_life) == ("clear", 1550.0)


def test_the_desk_has_no_say_and_another_shops_machines_are_not_there(client, machine):
    sign_in(client, Role.DESK)
    assert client.get(url(machine)).status_code == 403
    sign_in(client, Role.MECHANIC)
    assert "MX-02" not in client.get(url(machine)).text
    send(client, machine, typed(machine, "Oil change", day="1 Feb"))
    assert not ServiceRecord.objects.exists()
    assert client.get(reverse("last-done-of-class", args=[987654])).status_code == 404
    assert client.put(url(machine)).status_code == 405


def test_the_queries_do_not_grow_with_the_class(client, machine, django_assert_max_num_queries):
    sign_in(client, shop=machine.yard.shop)
    factories.Machine.create_batch(15, makeup=machine.makeup, yard=machine.yard)
    with django_assert_max_num_queries(25):
        client.get(url(machine))
    with django_assert_max_num_queries(25):
        client.get(reverse("last-done"))
