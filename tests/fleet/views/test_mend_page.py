"""The page of readings that wait to be mended."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.actions.take_rows import take_rows
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import RowConventions
from fleet.models import Reading, ReadingToMend, Role
from tests import factories

LIST = reverse("readings-to-mend")


@pytest.fixture
def desk(client, db):
    person = factories.Person(role=Role.DESK)
    client.force_login(person)
    return person


@pytest.fixture
def kept(desk):
    """Line 3 of a file: 14 h, two days after 412 h."""
    now = timezone.now()
    factories.Meter(machine__tag="Q-12", machine__yard__shop=desk.shop)
    rows = [
        ReadingRow(2, "Q-12", "", f"{now.date() - timedelta(days=9)} 08:00", "412"),
        ReadingRow(3, "Q-12", "", f"{now.date() - timedelta(days=7)} 08:00", "14", raw="Q-12 | 14"),
    ]
    take_rows(rows, RowConventions(file_name="march.csv"), now)
    return ReadingToMend.objects.get()


def send(client, kept, htmx=False, **fields):
    data = {"machine": kept.machine_text, "when": kept.read_at_text, "value": kept.value_text}
    headers = {"HX-Request": "true"} if htmx else {}
    url = reverse("mend-reading", args=[kept.pk])
    return client.post(url, data | fields, follow=True, headers=headers)


def test_the_list_names_line_file_and_reason(client, kept):
    page = client.get(LIST)
    assert "Line 3 of march.csv" in page.text
    assert "14.0 h would be 398 h back" in page.text
    assert "1 reading waits to be mended" in page.text


@pytest.mark.parametrize("htmx", [True, False])
def test_a_mended_value_is_taken(client, desk, kept, htmx):
    answer = send(client, kept, htmx, value="414")
    assert "taken" in answer.text
    kept.refresh_from_db()
    assert (kept.mended_as.value, kept.mended_by) == (414.0, desk)


@pytest.mark.parametrize("htmx", [True, False])
def test_an_odd_one_is_answered_with_choices(client, kept, htmx):
    answer = send(client, kept, htmx)
    assert "The meter was swapped" in answer.text
    assert "taken" in send(client, kept, htmx, answer="swapped", old_last="415").text
    assert Reading.objects.get(value=14.0).meter.first_value == 0


def test_leaving_out_asks_why_and_keeps_the_row(client, kept):
    assert "Say why" in send(client, kept, answer="dismiss").text
    send(client, kept, answer="dismiss", note="read off the wrong machine")
    assert "No readings to mend" in client.get(LIST).text
    assert "read off the wrong machine" in client.get(LIST, {"settled": "1"}).text
    assert ReadingToMend.objects.count() == 1


def test_what_is_wrong_stands_in_its_field(client, kept):
    answer = send(client, kept, machine="Q-99")
    assert "No machine has the tag" in answer.text
    assert 'value="Q-99"' in answer.text


def test_all_are_tried_again(client, kept):
    Reading.objects.all().delete()
    page = client.post(reverse("mend-again"), follow=True)
    assert "1 reading could be taken now; 0 still wait" in page.text


def test_a_reading_of_another_shop_is_not_found(client, kept):
    client.force_login(factories.Person(role=Role.DESK))
    assert "No readings to mend" in client.get(LIST).text
    assert send(client, kept).status_code == 404


def test_signing_in_and_posting_are_asked_for(client, kept):
    assert client.get(reverse("mend-reading", args=[kept.pk])).status_code == 405
    assert client.get(reverse("mend-again")).status_code == 405
    client.logout()
    assert client.get(LIST).status_code == 302
