"""The page of one entry of the service book, and the ways to put it right or strike it."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet import models
from fleet.actions.record_work import WorkDone, record_services
from fleet.models import Role
from fleet.quantities import QUART
from fleet.queries.standing_records import standing_records
from tests import factories
from tests.factories import NOON
from tests.pages import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    person = factories.Mechanic()
    client.force_login(person)
    return person


@pytest.fixture
def entry(mechanic):
    """Oil changed yesterday at 412.5 h with two filters, by somebody else of the shop."""
    other = factories.Mechanic(shop=mechanic.shop)
    meter = factories.Meter(machine__tag="Q-12", machine__yard__shop=mechanic.shop)
    at = NOON - timedelta(days=1)
    reading = factories.Reading(meter=meter, value=412.5, read_at=at)
    service = factories.Service(name="Oil change")
    work = WorkDone(
        meter.machine, service, at, other, 30, readings=[reading], parts=[(factories.Part(), 2)]
    )
    (record,) = record_services([work], by=other, now=at)
    return record


def send(client, record, **fields):
    part = record.parts_used.get().part
    data = {
        "service": record.service_id,
        "when": "2026-03-01T12:00",
        "done_by": record.done_by_id,
        "minutes": "30",
        "why": "misread",
        f"meter_{record.meters.get().meter_id}": "412.5",
        f"part_{part.pk}": "2",
        "form_key": "k" * 16,
    }
    return client.post(reverse("record", args=[record.pk]), data | fields)


def test_days_and_money_are_said_as_on_any_page(client, entry):
    models.ServiceRecord.objects.filter(pk=entry.pk).update(cost=84)
    page = client.get(reverse("record", args=[entry.pk])).text
    assert "<dd>Sun 1 Mar, 12:00</dd>" in page
    assert "<dd>$84.00</dd>" in page


def test_more_oil_than_the_sump_holds_is_asked_about_ten_times_as_much_too(client, entry):
    """The engine takes 2.5 qt."""
    oil = factories.Part(kind=models.Part.Kind.FLUID, name="Engine oil")
    makeup = entry.machine.makeup
    makeup.fluids.create(place="engine oil", capacity_ml=2.5 * QUART, part=oil)
    entry.service.needs.create(place="engine oil")
    typed = {"more_part": oil.pk, "more_quantity": "25"}
    for much in ("25", "5"):
        typed["more_quantity"] = much
        assert "Is it really so" in words(send(client, entry, **typed))
    assert models.ServiceRecord.objects.count() == 1
    typed["really_so"] = "more_quantity: 5 qt of Engine oil"
    assert send(client, entry, **typed).status_code == 302
    (new,) = standing_records()
    assert new.parts_used.get(part=oil, quantity__lt=0).quantity == pytest.approx(-5 * QUART)


def test_the_form_stands_as_the_entry_was_written(client, entry):
    page = client.get(reverse("record", args=[entry.pk]))
    assert 'value="412.5"' in page.text
    assert 'value="2026-03-01T12:00"' in page.text


def test_a_correction_stands_and_the_old_one_is_struck_through_in_the_book(client, entry):
    assert send(client, entry, minutes="45", why="typed 30").status_code == 302
    assert standing_records().get().minutes == 45
    book = client.get(reverse("machine", args=["Q-12"])).text
    assert "<s>Oil change</s>" in book
    old = client.get(reverse("record", args=[entry.pk])).text
    assert "<s>30 min</s>" in old
    assert "See the entry that took its place" in old


def test_a_meter_that_goes_backwards_is_asked_about(client, entry):
    meter = entry.meters.get().meter
    factories.Reading(meter=meter, value=400.0, read_at=NOON - timedelta(days=3))
    name = f"meter_{meter.pk}"
    answer = send(client, entry, **{name: "300"})
    assert "It really shows that" in answer.text
    assert send(client, entry, **{name: "300"}, answer="really_so").status_code == 302
    assert standing_records().get().meters.get().value == 300


def test_work_that_would_lie_ahead_is_refused_at_its_field(client, entry):
    assert "in the future" in send(client, entry, when="2026-03-03T12:00").text
    assert standing_records().get() == entry


def test_an_entry_is_struck_with_a_reason(client, entry):
    address = reverse("record-strike", args=[entry.pk])
    assert "Say why" in client.post(address, {"why": ""}).text
    assert client.post(address, {"why": "another machine"}).status_code == 302
    assert not standing_records().exists()
    assert "another machine" in client.get(reverse("machine", args=["Q-12"])).text


def test_a_correction_without_a_reason_is_not_taken(client, entry):
    assert "Say why it is corrected" in send(client, entry, note="x", why="").text
    assert standing_records().get() == entry


def test_the_desk_sees_it_and_may_not_change_it(client, entry, mechanic):
    client.force_login(factories.Person(role=Role.DESK, shop=mechanic.shop))
    assert "Correct the entry" not in client.get(reverse("record", args=[entry.pk])).text
    assert send(client, entry).status_code == 403
    assert client.post(reverse("record-strike", args=[entry.pk]), {"why": "x"}).status_code == 403


def test_a_mechanic_of_another_shop_does_not_find_it(client, entry):
    client.force_login(factories.Mechanic())
    assert client.get(reverse("record", args=[entry.pk])).status_code == 404


def test_a_wrong_number_is_said_at_its_field(client, entry):
    part = models.Part.objects.get()
    assert "not a number" in send(client, entry, **{f"part_{part.pk}": "two"}).text


def test_what_was_measured_at_several_places_is_put_right_place_by_place(client, entry):
    limit = models.Limit.objects.create(
        service=entry.service, name="lining", unit="mm", low=1.5, places="left, right"
    )
    for place, value in (("left", 3.5), ("right", 35)):
        entry.measurements.create(limit=limit, value=value, place=place)
    page = client.get(reverse("record", args=[entry.pk])).text
    assert "Lining, right, mm" in page
    typed = {f"limit_{limit.pk}": "3.5", f"limit_{limit.pk}_1": "3.4"}
    assert send(client, entry, **typed).status_code == 302
    (new,) = standing_records()
    assert dict(new.measurements.values_list("place", "value")) == {"left": 3.5, "right": 3.4}
    assert entry.measurements.get(place="right").value == 35  # stays on record as it was
