"""Intervals in trade words, seen on two machines before they are saved.  Now is 2 March 2026."""

import re
from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from fleet.models import Interval, LoggedChange, MakeUpMeter, MeterKind, Role, Units
from scheduling.due.refresh import refresh
from tests import factories
from tests.consequences import DuePoint  # noqa: F401
from tests.factories import NOON
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def machine():
    """1,480 h on the meter; the oil was changed at 1,450 h."""
    machine = factories.Machine(tag="MX-02", yard__units=Units.US, started_on=date(2020, 1, 1))
    MakeUpMeter.objects.create(makeup=machine.makeup, kind=MeterKind.HOURS)
    meter = factories.Meter(machine=machine, fitted_at=datetime(2020, 1, 1, tzinfo=UTC))
    factories.Reading(meter=meter, value=1480.0)
    return machine


@pytest.fixture
def oil(machine):
    service = factories.Service(name="Oil change")
    at = datetime(2026, 2, 3, 12, tzinfo=UTC)
    record = factories.ServiceRecord(machine=machine, service=service, done_at=at)
    record.meters.create(meter=machine.meters.get(), value=1450.0)
    return service


def typed(service, /, **fields):
    return {"service": service.pk, "every": "100 h", "anchor": "service"} | fields


def new(machine):
    return reverse("interval-new", args=[machine.makeup_id])


def look_and_save(client, url, data):
    page = client.post(url, data | {"act": "look"})
    seen = re.search(r'name="seen" value="(\w+)"', page.text)
    return client.post(url, data | {"act": "save", "seen": seen[1]}, follow=True)


def test_what_it_means_is_shown_before_anything_is_written(client, machine, oil):
    sign_in(client, shop=machine.yard.shop)
    data = typed(oil, every="100 h or 12 months", late="10 h", first="20 h")
    page = client.post(new(machine), data | {"act": "look"})
    assert answer(page) == (
        "Every 100 h or 12 months, whichever comes first; first at 20 h; may be 10 h late."
    )
    shown = words(page)
    assert "MX-02" in shown
    assert "at 1,550.0 h or on Wed 3 Feb 2027, whichever comes first" in shown
    assert "70 h to go" in shown
    assert not Interval.objects.exists()


def test_one_press_saves_what_was_seen_and_the_due_point_is_that_which_was_shown(
    client, machine, oil
):
    person = sign_in(client, shop=machine.yard.shop)
    page = look_and_save(client, new(machine), typed(oil, source="page 41"))
    assert "Oil change is set" in words(page)
    assert "Every 100 h." in words(page)
    refresh([machine.pk], NOON)
    assert machine.due_points.get().due_life == 1550.0
    assert LoggedChange.objects.get().by == person


def test_what_was_changed_after_the_look_is_looked_at_again(client, machine, oil):
    sign_in(client, shop=machine.yard.shop)
    page = client.post(new(machine), typed(oil) | {"act": "look"})
    seen = re.search(r'name="seen" value="(\w+)"', page.text)[1]
    page = client.post(new(machine), typed(oil, every="50 h") | {"act": "save", "seen": seen})
    assert "Not saved yet" in words(page)
    assert not Interval.objects.exists()


def test_a_change_is_seen_against_what_holds_now(client, machine, oil):
    sign_in(client, shop=machine.yard.shop)
    row = factories.Interval(makeup=machine.makeup, service=oil, every=100.0, meter_cap=25.0)
    url = reverse("interval", args=[row.pk])
    assert 'value="100 h"' in client.get(url).text
    data = {"every": "200 h", "anchor": "service"}
    assert "at 1,650.0 h" in words(client.post(url, data | {"act": "look"}))
    row.refresh_from_db()
    assert row.every == 100.0
    look_and_save(client, url, data)
    row.refresh_from_db()
    assert (row.every, row.meter_cap) == (200.0, 25.0)


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"every": "soon"}, "cannot be read"),
        ({"every": ""}, "Say when it recurs"),
        ({"every": "12 months", "late": "10 h"}, "recurs on no such meter"),
        ({"every": "10 %"}, "A percentage of what?"),
        ({"late": "1 month"}, "Write it in days"),
        ({"season": "31 Feb"}, "not a day of the calendar"),
        ({"every": "100 mi"}, "carry no odometer"),
        ({"service": ""}, "Choose the service"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(client, machine, oil, fields, said):
    sign_in(client, shop=machine.yard.shop)
    page = client.post(new(machine), typed(oil, **fields) | {"act": "look"})
    assert said in words(page)
    assert 'class="errorlist"' in page.text


def test_a_whole_class_gets_it(client, machine, oil):
    other = factories.MakeUp(machine_class=machine.makeup.machine_class)
    sign_in(client, shop=machine.yard.shop)
    look_and_save(client, new(machine), typed(oil, whole_class="on"))
    assert set(Interval.objects.values_list("makeup", flat=True)) == {machine.makeup_id, other.pk}


def test_what_counts_as_done_with_it_is_ticked_and_moves_its_due_point(client, machine, oil):
    """The grease was never done; once the oil change covers it, it was, at 1,450 h."""
    grease = factories.Service(name="Grease")
    factories.Interval(makeup=machine.makeup, service=grease, every=50.0)
    row = factories.Interval(makeup=machine.makeup, service=oil, every=100.0)
    refresh([machine.pk], NOON)
    grease_point = machine.due_points.get(service=grease)
    assert grease_point.last_done_on is None
    sign_in(client, shop=machine.yard.shop)
    url = reverse("interval", args=[row.pk])
    shown = client.get(url).text
    assert "Doing it counts as doing these too" in shown
    assert "checked" not in shown.split("Doing it counts as")[1]
    page = look_and_save(client, url, {"every": "100 h", "anchor": "service", "covers": grease.pk})
    assert "It counts as Grease too." in words(page)
    refresh([machine.pk], NOON)
    grease_point.refresh_from_db()
    assert grease_point.last_done_on == date(2026, 2, 3)
    assert "checked" in client.get(url).text.split("Doing it counts as")[1]


@pytest.mark.parametrize(
    ("tie", "said"),
    [
        ("follows", "It covers Grease, so it cannot also follow it"),
        ("apart_from", "It covers Grease, so it cannot also follow it or keep apart"),
        ("circle", "That is a circle: Road, which follows Oil change, which follows Road"),
    ],
)
def test_what_no_visit_could_keep_is_said_where_it_is_ticked(client, machine, oil, tie, said):
    """The circle: the road test follows the grease, so it comes after the oil that covers it."""
    grease, road = factories.Service(name="Grease"), factories.Service(name="Road")
    factories.Interval(makeup=machine.makeup, service=grease, every=50.0)
    if tie == "circle":
        road.follows.add(grease)
        oil.follows.add(road)
    else:
        getattr(oil, tie).add(grease)
    sign_in(client, shop=machine.yard.shop)
    page = client.post(new(machine), typed(oil, covers=grease.pk) | {"act": "look"})
    assert said in words(page)
    assert "Not saved yet" not in words(page)


def test_intervals_are_copied_from_another_make_up_after_a_look(client, machine, oil):
    source = factories.Interval(service=oil, every=250.0, source="page 7").makeup
    sign_in(client, shop=machine.yard.shop)
    url = reverse("intervals-copy", args=[machine.makeup_id])
    page = client.get(url, {"from": source.pk})
    assert "every 250 h" in words(page)
    assert "at 1,700.0 h" in words(page)
    assert machine.makeup.intervals.count() == 0
    chosen = source.intervals.get().pk
    page = client.post(url, {"from": source.pk, "interval": [chosen]}, follow=True)
    assert "1 interval copied" in words(page)
    assert machine.makeup.intervals.get().source == "page 7 (copied)"


def test_a_machine_with_an_interval_of_its_own_keeps_it(client, machine, oil):
    factories.Interval(makeup=None, machine=machine, service=oil, every=50.0)
    sign_in(client, shop=machine.yard.shop)
    page = client.post(new(machine), typed(oil) | {"act": "look"})
    assert "at 1,500.0 h" in words(page)
    assert "has an interval of its own, which stays" in words(page)


def test_taken_out_by_one_press(client, machine, oil):
    row = factories.Interval(makeup=machine.makeup, service=oil)
    sign_in(client, shop=machine.yard.shop)
    url = reverse("interval-take-out", args=[row.pk])
    assert client.get(url).status_code == 405
    assert "no longer falls due" in words(client.post(url, follow=True))
    assert not Interval.objects.exists()


def test_pages_are_for_managers_and_say_what_is_not_there(client, machine):
    sign_in(client, Role.MECHANIC)
    assert client.get(new(machine)).status_code == 403
    assert client.get(reverse("all-intervals")).status_code == 403
    assert client.get(reverse("machine-interval-new", args=[machine.tag])).status_code == 403
    sign_in(client)
    assert client.get(reverse("interval", args=[987])).status_code == 404
    own = factories.Interval(makeup=None, machine=machine)
    assert client.get(reverse("interval", args=[own.pk])).status_code == 200
    assert client.get(reverse("machine-interval-new", args=["MX-99"])).status_code == 404
    page = client.get(
        reverse("intervals-copy", args=[machine.makeup_id]), {"from": "x"}, follow=True
    )
    assert "Choose the make-up to copy from" in words(page)


def test_the_queries_do_not_grow_with_the_make_ups(client, machine, django_assert_max_num_queries):
    sign_in(client)
    factories.Interval.create_batch(12)
    factories.Interval.create_batch(12, makeup=machine.makeup)
    for name, args in (("all-intervals", []), ("intervals", [machine.makeup_id])):
        with django_assert_max_num_queries(15):
            client.get(reverse(name, args=args))


def test_one_machine_gets_an_interval_of_its_own_by_the_same_form(client, machine, oil):
    """Its make-up has the oil every 100 h; on this one it is to be every 60."""
    factories.Interval(makeup=machine.makeup, service=oil, every=100.0)
    other = factories.Machine(tag="MX-03", makeup=machine.makeup, yard=machine.yard)
    sign_in(client, shop=machine.yard.shop)
    url = reverse("machine-interval-new", args=["MX-02"])
    assert url in client.get(reverse("machine", args=["MX-02"])).text
    assert "every make-up of the class" not in client.get(url).text
    page = client.post(url, typed(oil, every="60 h") | {"act": "look"})
    assert "at 1,510.0 h" in words(page)
    assert other.tag not in words(page)
    page = look_and_save(client, url, typed(oil, every="60 h"))
    assert "Oil change is set" in words(page)
    row = Interval.objects.get(machine=machine)
    refresh([machine.pk], NOON)
    assert machine.due_points.get().due_life == 1510.0
    assert "MX-02: Oil change" in words(client.get(reverse("intervals", args=[machine.makeup_id])))
    page = client.post(
        reverse("interval", args=[row.pk]), {"every": "80 h", "anchor": "service", "act": "look"}
    )
    assert "at 1,530.0 h" in words(page)
    page = client.post(reverse("interval-take-out", args=[row.pk]), follow=True)
    assert "MX-02 follows its make-up again for Oil change" in words(page)
    refresh([machine.pk], NOON)
    assert machine.due_points.get().due_life == 1550.0
