"""GET /api/v1/may-go-out: what the counter says, for other programs."""

from datetime import date, timedelta

import pytest
from django.test import Client

from fleet.models import KeyScope
from scheduling.availability.counter_facts import Days
from scheduling.due.refresh import refresh
from scheduling.queries.may_go_out import which_may
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import open_counter
from tests.scheduling.interface.client_of import program

pytestmark = pytest.mark.django_db

ADDRESS = "/api/v1/may-go-out"
DAYS = {"first_day": "2026-03-02", "last_day": "2026-03-05"}


@pytest.fixture
def case(monkeypatch):
    return open_counter(Client(), monkeypatch)


@pytest.fixture
def reader(case):
    return program(KeyScope.READ)


def ask(client, **more):
    return client.get(ADDRESS, **({"class": "Quad"} | DAYS | more))


def test_a_machine_that_may_go_is_said_to(case, reader):
    answer = ask(reader)
    assert answer.status_code == 200
    assert answer.json() == {
        "class": "Quad",
        "first_day": "2026-03-02",
        "last_day": "2026-03-05",
        "machines": [
            {
                "tag": "Q-1",
                "answer": "may",
                "from_day": "2026-03-02",
                "back_by": None,
                "reasons": [],
            }
        ],
    }


def test_one_that_is_promised_says_until_when(case, reader):
    case.booking(first=TODAY, last=date(2026, 3, 4))
    (machine,) = ask(reader).json()["machines"]
    assert machine["answer"] == "may_not"
    assert [one["until"] for one in machine["reasons"]] == ["2026-03-04"]
    assert machine["reasons"][0]["text"]


def test_a_held_one_says_why(case, reader):
    factories.Hold(machine=case.machine)
    refresh({case.machine.pk}, NOON)
    (machine,) = ask(reader).json()["machines"]
    assert machine["answer"] == "may_not"
    assert machine["reasons"][0]["kind"] == "held"
    assert "brakes pull to the left" in machine["reasons"][0]["text"]
    assert machine["from_day"] is None


def test_it_says_of_each_machine_what_the_counter_says(case, reader):
    case.another()
    case.booking()
    said = ask(reader).json()["machines"]
    days = Days(TODAY, date(2026, 3, 5))
    counter = which_may(case.machine.makeup.machine_class, days, TODAY)
    assert [one["tag"] for one in said] == [one.machine.tag for one in counter]
    assert [one["answer"] == "may" for one in said] == [one.yes for one in counter]


@pytest.mark.parametrize("written", ["quad", " QUAD ", "Quad"])
def test_a_class_is_found_as_people_write_it(reader, written):
    assert ask(reader, **{"class": written}).json()["class"] == "Quad"


@pytest.mark.parametrize("written", ["", "no such", "Qu\0ad\0x", "é" * 5000])
def test_a_class_that_is_not_there_is_said_so(reader, written):
    answer = ask(reader, **{"class": written})
    assert (answer.status_code, answer.json()["field"]) == (404, "class")
    assert answer.json()["detail"].startswith("There is no class called")
    assert "\0" not in answer.json()["detail"]


def test_only_the_machines_of_a_yard(case, reader):
    factories.Machine(makeup=case.machine.makeup, yard__shop=case.desk.shop, yard__name="Far barn")
    said = ask(reader, yard="far BARN").json()["machines"]
    assert len(said) == 1
    assert said[0]["tag"] != "Q-1"
    assert ask(reader, yard="no such").status_code == 404


@pytest.mark.parametrize(
    ("first", "last", "field"),
    [
        ("2026-03-05", "2026-03-02", "last_day"),  # backwards
        ("2026-03-01", "2026-03-05", "first_day"),  # past
        ("0001-01-01", "0001-01-02", "first_day"),
        ("2026-03-02", "9999-12-31", "last_day"),  # more than a year
        ("9999-12-31", "9999-12-30", "last_day"),
        ("2026-02-30", "2026-03-02", "first_day"),  # not in the calendar
        ("05/03/2026", "2026-03-05", "first_day"),
        ("2026-W10-1", "2026-03-05", "first_day"),
        ("", "2026-03-05", "first_day"),
        ("2026-03-0\0", "2026-03-05", "first_day"),
        ("２０２６-03-02", "2026-03-05", "first_day"),
    ],
)
def test_days_that_cannot_be_are_said_in_a_sentence(reader, first, last, field):
    answer = ask(reader, first_day=first, last_day=last)
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["field"] == field
    assert answer.json()["detail"].endswith(".")


def test_the_last_day_of_the_calendar_is_a_day(reader):
    assert ask(reader, first_day="9999-12-31", last_day="9999-12-31").status_code == 200


def test_what_is_missing_is_named(reader):
    answer = reader.get(ADDRESS, **DAYS)
    assert (answer.status_code, answer.json()["field"]) == (422, "class")


def test_a_key_of_one_shop_sees_no_other(case):
    other = factories.Shop()
    assert ask(program(KeyScope.DESK, shop=other)).json()["machines"] == []
    assert len(ask(program(KeyScope.DESK, shop=case.desk.shop)).json()["machines"]) == 1


def test_queries_do_not_grow_with_the_class(case, reader, django_assert_max_num_queries):
    for _ in range(20):
        case.another()
    with django_assert_max_num_queries(20):
        assert len(ask(reader).json()["machines"]) == 21


def test_today_is_the_day_of_the_yard(case, reader):
    """At noon UTC on 2 March it is 3 March at UTC+14."""
    yard = factories.Yard(shop=case.desk.shop, name="East", time_zone="Pacific/Kiritimati")
    assert ask(reader, yard="East").status_code == 422
    tomorrow = (TODAY + timedelta(days=1)).isoformat()
    assert ask(reader, yard=yard.name, first_day=tomorrow).status_code == 200
