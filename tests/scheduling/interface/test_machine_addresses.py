"""Machines and readings by the interface; times of day as well as days."""

from datetime import time, timedelta

import pytest

from fleet.models import Booking, KeyScope, Reading
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import LAST, open_counter
from tests.scheduling.interface.client_of import program

pytestmark = pytest.mark.django_db
MACHINES, READINGS = "/api/v1/machines", "/api/v1/readings"


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def feed(case):
    return program(KeyScope.READINGS, shop=case.desk.shop)


def reading(**more):
    return {"machine": "q-1", "value": "110.5", "read_at": "2026-03-02T11:00:00Z", **more}


def test_machines_are_listed_with_their_states(case):
    case.another()
    answer = program(KeyScope.READ).get(MACHINES, **{"class": "quad", "state": "clear"}).json()
    assert len(answer["machines"]) == 2
    one = next(row for row in answer["machines"] if row["tag"] == "Q-1")
    assert (one["state"], one["yard"], one["class"]) == ("clear", case.machine.yard.name, "Quad")
    rest = program(KeyScope.READ).get(MACHINES, after="Q-1").json()
    assert "Q-1" not in [row["tag"] for row in rest["machines"]]
    assert program(KeyScope.READ).get(MACHINES, state="fine").status_code == 422


def test_a_reading_is_taken_once(case, feed):
    for _ in range(2):
        answer = feed.send("post", READINGS, reading(), "w1")
        assert (answer.status_code, answer.json()["value"]) == (201, "110.5 h")
    assert feed.send("post", READINGS, reading()).status_code == 201  # without a word, the same
    assert Reading.objects.filter(value=110.5).count() == 1


@pytest.mark.parametrize(
    ("more", "status", "field"),
    [
        ({"machine": "X-9"}, 404, "machine"),
        ({"value": "many"}, 422, "value"),
        ({"value": "50"}, 409, "value"),  # below what it showed
        ({"read_at": "2026-03-02"}, 422, "read_at"),
        ({"read_at": "2026-03-02T13:00:00Z"}, 422, "read_at"),  # an hour ahead
        ({"meter": "moons"}, 422, "meter"),
    ],
)
def test_what_cannot_be_is_refused_and_not_kept(case, feed, more, status, field):
    answer = feed.send("post", READINGS, reading(**more))
    assert (answer.status_code, answer.json()["field"]) == (status, field)
    assert Reading.objects.count() == 1


def test_a_key_for_readings_opens_nothing_else(feed):
    assert feed.get(MACHINES).status_code == 403


def test_times_are_booked_and_stay_when_something_else_is_changed(case):
    desk = program(KeyScope.DESK, answers=case.desk)
    body = {"machine": "Q-1", "first_day": str(TODAY + timedelta(days=1)), "customer": "Two Pines",
            "last_day": str(TODAY + timedelta(days=1)), "to_time": "12:00",
            "hours_a_day": 6}  # fmt: skip
    made = desk.send("post", "/api/v1/bookings", body).json()
    assert (made["from_time"], made["to_time"], made["hours_a_day"]) == (None, "12:00:00", 6)
    asked = {"class": "Quad", "first_day": body["first_day"], "last_day": body["last_day"]}
    whole = desk.get("/api/v1/may-go-out", **asked).json()["machines"]
    after = desk.get("/api/v1/may-go-out", **asked, from_time="12:00").json()["machines"]
    assert [one["answer"] for one in whole + after] == ["may_not", "may"]
    address = f"/api/v1/bookings/{made['id']}"
    desk.send("patch", address, {"customer": "Tall Pines"})
    row = Booking.objects.get(pk=made["id"])
    assert (row.customer, row.to_time, row.hours_a_day) == ("Tall Pines", time(12), 6)
    desk.send("patch", address, {"to_time": ""})
    row.refresh_from_db()
    assert row.to_time is None
    wrong = desk.send("patch", address, {"to_time": "late"})
    assert (wrong.status_code, wrong.json()["field"]) == (422, "to_time")
    assert row.last_day < LAST
    assert row.ends_at > NOON
