"""What is typed on a sheet is kept as it is typed, once, and stands until it is in the book."""

import json
from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import LoggedChange, Role, ServiceRecord, SheetEntry
from tests import factories
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
SHEET = "a" * 32


@pytest.fixture
def case(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def entry(field, value, at=NOON, key="k1"):
    at = at.timestamp() * 1000
    return {"field": field, "label": field, "value": value, "at": at, "key": key}


def keep(client, *entries, sheet=SHEET):
    place = reverse("keep-entries", args=["Q-1"])
    said = json.dumps({"sheet": sheet, "entries": entries})
    return client.post(place, said, content_type="application/json")


def sheet(client):
    return client.get(f"{reverse('job', args=['Q-1'])}?day={TODAY}")


def finish(client, case, **more):
    typed = {"form_key": SHEET, "done": [key_of("Q-1", "oil")], "reading_hours": "125.5"}
    return client.post(f"{reverse('job', args=['Q-1'])}?day={TODAY}", typed | more)


def test_every_kind_of_entry_is_on_the_sheet_when_it_is_opened_again(client, case):
    limit = f"limit_{case.service.limits.get().pk}"
    part = f"part_{case.machine.makeup.fluids.get().part.pk}"
    typed = {limit: "250", part: "1.9", "note": "plug is round", "minutes": "55", "unread": "on",
             f"done={key_of('Q-1', 'oil')}": "on", "gravity": "defect"}  # fmt: skip
    assert (
        keep(client, *(entry(name, value) for name, value in typed.items())).json()["spent"]
        is False
    )
    page = sheet(client)
    for words in (
        f'name="{limit}" value="250"', f'name="{part}" value="1.9"', "plug is round",
        'name="minutes" value="55"', f'value="{key_of("Q-1", "oil")}" checked',
        'value="defect" id="id_gravity_1" checked', f'data-sheet="{SHEET}"',
    ):  # fmt: skip
        assert words in page.text, words


def test_the_same_entry_twice_is_one_and_an_older_one_that_comes_late_changes_nothing(client, case):
    late = NOON - timedelta(minutes=5)
    for one in (entry("note", "new"), entry("note", "new"), entry("note", "old", late, "k0")):
        keep(client, one)
    assert list(SheetEntry.objects.values_list("field", "value")) == [("note", "new")]


def test_a_phone_whose_clock_runs_ahead_does_not_bar_what_is_typed_after(client, case):
    keep(client, entry("note", "ahead", NOON + timedelta(hours=9)))
    keep(client, entry("note", "after", NOON, "k2"))
    assert SheetEntry.objects.get().value == "after"


def test_what_two_people_typed_stands_and_is_shown_to_each(client, case):
    limit = f"limit_{case.service.limits.get().pk}"
    other = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    keep(client, entry(limit, "250"))
    client.force_login(other)
    keep(client, entry(limit, "260"), sheet="b" * 32)
    assert f'name="{limit}" value="260"' in sheet(client).text
    assert "Jo typed “250”" in sheet(client).text
    client.force_login(case.mechanic)
    assert "Bo typed “260”" in sheet(client).text
    finish(client, case, **{limit: "250"})
    assert SheetEntry.objects.get(spent_at=None).value == "260"


def test_a_finished_sheet_is_let_go_and_what_comes_in_late_does_not_open_it(client, case):
    keep(client, entry("note", "plug is round"))
    finish(client, case, note="plug is round")
    assert keep(client, entry("note", "late", key="k9")).json()["spent"] is True
    assert "plug is round" not in sheet(client).text
    assert ServiceRecord.objects.get().note == "plug is round"


def test_a_sheet_that_was_put_off_unkept_is_known_as_over(client, case):
    place = f"{reverse('put-off', args=['Q-1'])}?day={TODAY}"
    client.post(place, {"form_key": SHEET, "done": [key_of("Q-1", "oil")], "reason": "no filter"})
    assert keep(client).json()["spent"] is True


def test_a_reading_of_yesterday_is_shown_and_not_typed_in_again(client, case):
    keep(client, entry("reading_hours", "124", NOON - timedelta(days=1)))
    page = sheet(client)
    assert 'name="reading_hours" value="124"' not in page.text
    assert "Typed before, and not in the book" in page.text
    client.post(reverse("let-entries-go", args=["Q-1"]), {"entry": SheetEntry.objects.get().pk})
    assert "Typed before" not in sheet(client).text
    assert LoggedChange.objects.get().act == "let go"


@pytest.mark.parametrize(
    "body",
    ["", "[]", "{}", '{"sheet": "a", "entries": [{}]}', '{"sheet": "", "entries": []}',
     '{"sheet": "a", "entries": [{"field": "note", "value": "x", "at": 1e99, "key": "k"}]}'],
)  # fmt: skip
def test_what_is_no_list_of_entries_is_refused(client, case, body):
    place = reverse("keep-entries", args=["Q-1"])
    assert client.post(place, body, content_type="application/json").status_code == 400
    assert not SheetEntry.objects.exists()


def test_only_who_may_open_the_sheet_keeps_entries_of_it(client, case):
    assert client.get(reverse("keep-entries", args=["Q-1"])).status_code == 405
    client.force_login(factories.Mechanic())
    assert keep(client, entry("note", "x")).status_code == 404
    client.force_login(factories.Person(role=Role.DESK))
    assert keep(client, entry("note", "x")).status_code == 403
    client.logout()
    assert keep(client, entry("note", "x")).status_code == 302
