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


@pytest.fixture
def alike(desk):
    """Three readings of one machine that went backwards."""
    now = timezone.now()
    factories.Meter(machine__tag="Q-14", machine__yard__shop=desk.shop)
    days = [now.date() - timedelta(days=days) for days in (9, 7, 6, 5)]
    rows = [
        ReadingRow(line, "Q-14", "", f"{day} 08:00", value)
        for line, (day, value) in enumerate(zip(days, ("412", "14", "15", "16"), strict=True))
    ]
    take_rows(rows[:1], RowConventions(), now)
    take_rows(rows[1:], RowConventions(file_name="april.csv"), now)
    return ReadingToMend.objects.filter(file_name="april.csv")


def answer_all(client, **fields):
    return client.post(reverse("mend-many", args=["backwards"]), fields, follow=True)


def test_many_of_one_reason_are_left_out_by_one_answer(client, alike):
    assert "lower than an earlier reading" in client.get(LIST).text
    assert "Say why" in answer_all(client, answer="leave").text
    page = answer_all(client, answer="leave", note="an old sheet")
    assert "3 readings left out" in page.text
    assert set(alike.values_list("mended_note", flat=True)) == {"an old sheet"}
    assert Reading.objects.count() == 1


def test_many_of_one_reason_are_taken_as_right(client, alike):
    assert "3 readings taken as right" in answer_all(client, answer="right").text
    assert Reading.objects.filter(really_so=True).count() == 3
    assert not alike.filter(mended_at=None).exists()


def test_what_names_no_machine_cannot_be_right(client, desk):
    url = reverse("mend-many", args=["unknown_machine"])
    page = client.post(url, {"answer": "right"}, follow=True)
    assert "mend them one by one" in page.text


def test_many_are_answered_in_few_queries(client, alike, django_assert_max_num_queries):
    with django_assert_max_num_queries(80):
        client.post(reverse("mend-many", args=["backwards"]), {"answer": "right"})
