"""The change log: who sees what of it, narrowed down, paged, as a file."""

import csv
from datetime import timedelta
from io import StringIO

import pytest
from django.urls import reverse

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.models import Role
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    person = factories.Person(first_name="Mara")
    client.force_login(person)
    return person


@pytest.fixture
def machine(manager):
    return factories.Machine(tag="E-07", yard__shop=manager.shop)


def logged(subject, act="corrected", *, by, at=NOON, reason="", **values):
    pairs = [ChangedValue(name, *value) for name, value in values.items()]
    return keep_change(subject, act, pairs, by=by, now=at, reason=reason)


def shown(client, **asked):
    return client.get(reverse("changes"), asked).content.decode()


def test_a_change_is_shown_with_who_when_old_new_and_why(client, manager, machine):
    logged(machine, by=manager, reason="misread", serial=("TB1", "TB2"))
    page = shown(client)
    said = ("1 change,", "E-07</a>: corrected", "<s>TB1</s>, now TB2", "Why: misread", "Mara")
    for words in said:
        assert words in page
    assert machine.get_absolute_url() in page


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"kind": "machine"}, {"E-07"}),
        ({"machine": "e-07"}, {"E-07"}),
        ({"first": "2026-03-02"}, {"E-07"}),
        ({"last": "2026-03-01"}, {"Oil"}),
        ({"first": "2026-03-01", "last": "2026-03-01"}, {"Oil"}),
        ({"text": "MISREAD"}, {"E-07"}),
        ({"text": "café"}, {"Oil"}),
        ({"text": "nowhere"}, set()),
        ({"kind": "no such kind"}, {"E-07", "Oil"}),
    ],
)
def test_it_is_narrowed_down(client, manager, machine, asked, found):
    logged(machine, by=manager, reason="misread")
    oil = factories.Service(name="Oil")
    logged(oil, "changed", by=None, at=NOON - timedelta(days=1), name=("x", "at the café"))
    page = shown(client, **asked)
    heads = {"E-07": "E-07</a>:", "Oil": "Oil</strong>:"}
    assert {name for name, head in heads.items() if head in page} == found


def test_by_a_person(client, manager, machine):
    other = factories.Person(first_name="Dale", shop=manager.shop)
    logged(machine, "renamed", by=manager)
    logged(machine, "retired", by=other)
    page = shown(client, by=other.pk)
    assert "retired" in page
    assert ": renamed" not in page


def test_a_manager_of_a_shop_sees_what_is_theirs(client, manager, machine):
    elsewhere = factories.Machine(tag="X-1")
    for subject in (machine, elsewhere, elsewhere.yard, elsewhere.yard.shop, manager.shop,
                    factories.Person(username="afar"), factories.Service(name="Oil")):  # fmt: skip
        logged(subject, by=None)
    assert "3 changes" in shown(client)
    client.force_login(factories.Person(shop=None))
    assert "7 changes" in shown(client)


@pytest.mark.parametrize("role", [Role.DESK, Role.MECHANIC])
@pytest.mark.parametrize("page", ["changes", "changes-file"])
def test_it_is_the_managers_alone(client, role, page):
    client.force_login(factories.Person(role=role))
    assert client.get(reverse(page)).status_code == 403


@pytest.mark.parametrize("number", [1, 60])
def test_the_number_of_queries_does_not_grow(
    client, manager, machine, number, django_assert_max_num_queries
):
    for n in range(number):
        logged(machine, by=manager, at=NOON + timedelta(minutes=n))
    with django_assert_max_num_queries(9):
        page = shown(client)
    assert ("1 of 2" in page) == (number > 50)


def test_leafing_keeps_what_is_asked_for(client, manager, machine):
    for n in range(60):
        logged(machine, by=manager, at=NOON + timedelta(minutes=n))
    assert "?kind=machine&amp;page=2" in shown(client, kind="machine")


def test_days_that_run_backwards_are_said_at_their_field(client, manager, machine):
    assert "before the first day" in shown(client, first="2026-03-02", last="2026-03-01")


def test_the_file_holds_what_is_asked_for_and_no_formula(client, manager, machine):
    logged(machine, by=manager, reason="=cmd|' /C calc'!A0", notes=("@SUM(A1)", "-1"))
    logged(factories.Service(), by=manager)
    answer = client.get(reverse("changes-file"), {"kind": "machine"})
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    titles, line = csv.reader(StringIO(text))
    row = dict(zip(titles, line, strict=True))
    assert (row["what"], row["who"], row["field"]) == ("E-07", "Mara", "notes")
    assert (row["old"], row["new"]) == ("'@SUM(A1)", "'-1")
    assert row["why"] == "'=cmd|' /C calc'!A0"


def test_a_machines_page_tells_its_own_changes_folded(client, manager, machine):
    logged(machine, by=manager, reason="misread", serial=("TB1", "TB2"))
    logged(factories.Machine(yard=machine.yard), "renamed", by=manager)
    page = client.get(machine.get_absolute_url()).content.decode()
    assert "What was changed (1)" in page
    assert "<s>TB1</s>, now TB2" in page


def test_days_and_money_are_told_as_the_yard_writes_them_in_both_languages(
    client, manager, machine, monkeypatch
):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    mechanic = factories.Mechanic(shop=manager.shop, language="es")
    days = {"retired_on": ("", "2026-03-05"), "day_rate": ("1234.00", "90.00")}
    logged(machine, by=manager, **{name.replace("_", " "): told for name, told in days.items()})
    page = client.get(machine.get_absolute_url()).content.decode()
    assert "now Thu 5 Mar" in page
    assert "<s>$1,234</s>, now $90.00" in page
    client.force_login(mechanic)
    page = client.get(machine.get_absolute_url()).content.decode()
    assert "ahora jue 5 mar" in page
    assert "<s>$1,234</s>" in page


@pytest.mark.parametrize("page", ["set-up", "yard"])
def test_set_up_and_yard_lead_to_it(client, manager, page):
    assert f'href="{reverse("changes")}"' in client.get(reverse(page)).content.decode()


@pytest.mark.parametrize("zone", ["America/Chicago", "Pacific/Auckland"])
@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_the_ends_of_the_calendar_are_days_like_others(client, manager, machine, zone, day):
    manager.shop.time_zone = zone
    manager.shop.save()
    logged(machine, by=manager, serial=("TB1", "TB2"))
    for asked, found in ({"first": day}, day < "1"), ({"last": day}, day > "1"):
        assert ("TB2" in shown(client, **asked)) is found
