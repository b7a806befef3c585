"""The page on which a yard's readings are typed in one sweep."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from fleet.models import Meter, Reading, ReadingToMend, Role
from tests import factories
from tests.consequences import MachineState

ROUND = reverse("meter-round")


@pytest.fixture
def shop(db):
    return factories.Shop()


@pytest.fixture
def desk(client, shop):
    person = factories.Person(role=Role.DESK, shop=shop)
    client.force_login(person)
    return person


@pytest.fixture
def meter(shop):
    """412.0 h a week ago."""
    meter = factories.Meter(machine__tag="Q-12", machine__yard__shop=shop)
    ago = timezone.now() - timedelta(days=7)
    factories.Reading(meter=meter, value=412.0, read_at=ago)
    return meter


def send(client, meter, value, htmx=True, **fields):
    """Type a value into a meter's line; with htmx the line alone is sent and answered."""
    data = {f"value-{meter.pk}": value, "key": "page-1", "yard": meter.machine.yard_id}
    data |= {f"{name}-{meter.pk}": text for name, text in fields.items() if name != "read_at"}
    if "read_at" in fields:
        data["read_at"] = fields["read_at"]
    if htmx:
        url = reverse("meter-round-line", args=[meter.pk])
        return client.post(url, data, headers={"HX-Request": "true"})
    return client.post(ROUND, data)


def test_the_page_lists_the_yards_meters_with_what_they_showed(client, desk, meter):
    page = client.get(ROUND)
    assert page.status_code == 200
    assert "412.0 h" in page.text
    assert "Q-12" in page.text
    assert "All 1 meters were read in the last two weeks" in page.text


@pytest.mark.parametrize("htmx", [True, False])
def test_a_reading_is_taken_as_it_is_typed_and_without_scripts(client, desk, meter, htmx):
    answer = send(client, meter, "418.5", htmx)
    assert "418.5 h taken" in answer.text
    reading = Reading.objects.latest("pk")
    assert (reading.value, reading.read_by, reading.source) == (418.5, desk, "round")


@pytest.mark.parametrize("htmx", [True, False])
def test_an_odd_one_is_answered_with_sentence_and_choices_and_kept_in_its_field(
    client, desk, meter, htmx
):
    answer = send(client, meter, "214", htmx)
    assert "214.0 h would be 198 h back" in answer.text
    assert "The meter was swapped" in answer.text
    assert "It really shows that" in answer.text
    assert 'value="214"' in answer.text
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("htmx", [True, False])
def test_a_choice_is_taken(client, desk, meter, htmx):
    answer = send(client, meter, "14", htmx, answer="swapped", old_last="415")
    assert "14.0 h taken" in answer.text
    meter.refresh_from_db()
    assert meter.last_value == 415.0
    assert Meter.objects.count() == 2


def test_what_was_meant_is_offered_by_its_value(client, desk, meter):
    answer = send(client, meter, "4185")
    assert "It shows 418.5 h" in answer.text
    assert "418.5 h taken" in send(client, meter, "4185", answer="meant").text


def test_who_cannot_tell_keeps_it_to_be_mended(client, desk, meter):
    assert "Readings to mend" in send(client, meter, "214", answer="aside").text
    kept = ReadingToMend.objects.get()
    assert (kept.machine, kept.value_text, kept.entered_by) == (meter.machine, "214", desk)
    assert "198 h back" in kept.sentence


def test_sent_twice_is_one_reading_and_says_so(client, desk, meter):
    send(client, meter, "418.5")
    assert "was here already; nothing was added" in send(client, meter, "418.5").text
    assert Reading.objects.count() == 2


def test_an_earlier_round_is_read_at_its_time(client, desk, meter):
    day = timezone.now().date() - timedelta(days=2)
    send(client, meter, "415", read_at=f"{day}T08:15")
    assert Reading.objects.latest("pk").read_at.isoformat().startswith(f"{day}T08:15")


@pytest.mark.parametrize(
    ("value", "fields", "words"),
    [
        ("abc", {}, "is not a number"),
        ("412 mi", {}, "is not a unit of an hour meter"),
        ("-1", {}, "is below zero"),
        ("418", {"read_at": "2999-01-01T08:00"}, "is in the future"),
        ("418", {"read_at": "soon"}, "is not a date"),
        ("418", {"read_at": "2001-01-01T08:00"}, "was fitted with an hour meter on"),
        ("14", {"answer": "swapped", "old_last": "x"}, "is not a number"),
        ("14", {"answer": "swapped", "old_last": "400"}, "cannot have ended at 400.0 h"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence_and_stays_in_its_field(
    client, desk, meter, value, fields, words
):
    answer = send(client, meter, value, **fields)
    assert answer.status_code == 200
    assert words in answer.text
    assert f'value="{value}"' in answer.text
    assert Reading.objects.count() == 1


def test_an_empty_line_is_no_reading(client, desk, meter):
    assert send(client, meter, "  ", htmx=False).status_code == 200
    assert Reading.objects.count() == 1


def test_a_meter_of_another_shop_is_not_found(client, desk):
    other = factories.Meter()
    assert send(client, other, "5").status_code == 404


def test_signing_in_is_asked_for(client, meter):
    assert client.get(ROUND).status_code == 302
    assert send(client, meter, "418").status_code == 302


def test_a_line_is_sent_and_not_fetched(client, desk, meter):
    assert client.get(reverse("meter-round-line", args=[meter.pk])).status_code == 405


def test_a_shop_without_yard_or_meter_says_what_to_do(client, desk, shop):
    assert "No yard yet" in client.get(ROUND).text
    factories.Machine(yard__shop=shop)
    assert "No meter to read here" in client.get(ROUND).text


def test_the_page_asks_as_much_of_a_large_yard_as_of_a_small_one(client, desk, meter):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            client.get(ROUND)
        return len(captured)

    queries()  # the first page also fills caches of the session
    few = queries()
    for _ in range(30):
        new = factories.Meter(machine__yard=meter.machine.yard)
        factories.Reading(meter=new)
    assert queries() == few


def worth_reading(meter, gain=19):
    return MachineState(
        machine=meter.machine, reading_kind="hours", reading_gain=gain,
        reading_why="Last read 23 days ago; a reading would narrow the dates of Oil by 19 days",
    )  # fmt: skip


def test_the_meter_to_read_first_says_why(client, desk, meter):
    worth_reading(meter)
    factories.Meter(machine__tag="A-01", machine__yard=meter.machine.yard)
    page = client.get(ROUND)
    assert "a reading would narrow the dates of Oil by" in page.text
    assert "The one whose reading would help most comes first." in page.text
    assert page.text.index("Q-12") < page.text.index("A-01")


def test_the_walking_order_is_kept_when_asked_for(client, desk, meter):
    worth_reading(meter)
    factories.Meter(machine__tag="A-01", machine__yard=meter.machine.yard)
    page = client.get(ROUND, {"order": "tag", "yard": meter.machine.yard_id})
    assert page.text.index("A-01") < page.text.index("Q-12")
    assert 'name="order" value="tag"' in page.text


def test_what_was_typed_is_taken_though_its_meter_has_moved_off_the_page(client, desk, meter):
    """Sixty others became more worth reading between showing the page and sending it."""
    for number in range(60):
        other = factories.Meter(machine__tag=f"Z-{number:02d}", machine__yard=meter.machine.yard)
        worth_reading(other)
    send(client, meter, "418.5", htmx=False)
    assert Reading.objects.filter(meter=meter, value=418.5).exists()


@pytest.mark.parametrize("name", ["value-", "value-x", "value-" + "9" * 40, "value--1"])
def test_fields_that_name_no_meter_are_passed_over(client, desk, meter, name):
    answer = client.post(ROUND, {name: "5", "yard": meter.machine.yard_id})
    assert answer.status_code == 200
    assert Reading.objects.count() == 1
