"""Bookings by other programs: made, moved, called off, each once a word, by the desk's rules."""

from datetime import date

import pytest
from django.test import Client

from fleet.models import Booking, KeptAnswer, KeyScope, LoggedChange, Override
from scheduling.due.refresh import refresh
from tests import factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import open_counter
from tests.scheduling.interface.client_of import program

pytestmark = pytest.mark.django_db

ADDRESS = "/api/v1/bookings"
ASKED = {
    "machine": "Q-1",
    "first_day": "2026-03-02",
    "last_day": "2026-03-05",
    "customer": "Low Gap dairy",
}


@pytest.fixture
def case(monkeypatch):
    return open_counter(Client(), monkeypatch)


@pytest.fixture
def shop_on_the_web(case):
    return program(KeyScope.DESK, shop=case.desk.shop, answers=case.desk)


def made():
    return Booking.objects.filter(first_day__gte=TODAY)


def book(client, word="w1", **more):
    return client.send("post", ADDRESS, ASKED | more, word)


def by_class(**more):
    return (
        {key: value for key, value in ASKED.items() if key != "machine"} | {"class": "quad"} | more
    )


def test_a_booking_is_made_like_one_at_the_counter(case, shop_on_the_web):
    answer = book(shop_on_the_web)
    assert answer.status_code == 201
    row = made().get()
    assert (row.machine, row.customer, row.made_by) == (case.machine, "Low Gap dairy", case.desk)
    assert (row.first_day, row.last_day, row.value) == (TODAY, date(2026, 3, 5), 400)
    said = answer.json()
    assert (said["id"], said["machine"], said["class"]) == (row.pk, "Q-1", "Quad")
    assert (said["state"], said["value"]) == ("booked", "400.00")


def test_sent_twice_it_is_one_booking_and_the_same_answer(shop_on_the_web):
    first, second = book(shop_on_the_web), book(shop_on_the_web)
    assert first.content == second.content
    assert (first.status_code, second.status_code) == (201, 201)
    assert made().count() == 1


def test_the_same_word_with_another_request_is_refused(shop_on_the_web):
    book(shop_on_the_web)
    answer = book(shop_on_the_web, customer="Somebody else")
    assert (answer.status_code, answer.json()["field"]) == (409, "Idempotency-Key")
    assert made().count() == 1


def test_words_of_two_clients_are_two(case, shop_on_the_web):
    other = program(KeyScope.DESK, answers=case.desk)
    case.another()
    assert book(shop_on_the_web).status_code == 201
    assert book(other).status_code == 409  # the machine is taken, the word is not


def test_what_was_refused_is_tried_again(case, shop_on_the_web):
    taken = case.booking()
    assert book(shop_on_the_web).status_code == 409
    assert not KeptAnswer.objects.exists()
    taken.delete()
    assert book(shop_on_the_web).status_code == 201


def test_a_machine_that_is_promised_is_refused_with_the_reason(case, shop_on_the_web):
    case.booking()
    answer = book(shop_on_the_web)
    assert answer.status_code == 409
    assert "Q-1 may not go out" in answer.json()["detail"]


def test_a_class_is_booked_by_a_machine_that_may(case, shop_on_the_web):
    case.booking()
    free = case.another()
    answer = shop_on_the_web.send("post", ADDRESS, by_class(), "w1")
    assert (answer.status_code, answer.json()["machine"]) == (201, free.tag)
    again = shop_on_the_web.send("post", ADDRESS, by_class(), "w2")
    assert again.status_code == 409
    assert "none of 2" in again.json()["detail"]


def test_a_class_without_a_word_could_be_booked_twice_and_is_not(shop_on_the_web):
    answer = shop_on_the_web.send("post", ADDRESS, by_class())
    assert (answer.status_code, answer.json()["field"]) == (400, "Idempotency-Key")
    assert not made().exists()


def overdue(case):
    """Let a service of the machine be overdue that the desk may go against."""
    factories.Interval(makeup=case.machine.makeup, every=10.0)
    refresh({case.machine.pk}, NOON)


def test_against_a_block_goes_a_reason_in_the_name_of_who_answers(case, shop_on_the_web):
    overdue(case)
    refused = book(shop_on_the_web)
    assert (refused.status_code, refused.json()["field"]) == (409, "reason")
    assert book(shop_on_the_web, reason="back before noon").status_code == 201
    assert Override.objects.get().by == case.desk


def test_a_key_without_a_name_goes_against_no_block(case):
    overdue(case)
    nameless = program(KeyScope.DESK)
    answer = book(nameless, reason="back before noon")
    assert answer.status_code == 409
    assert "Nobody answers for this key" in answer.json()["detail"]
    assert not made().exists()


def test_nobody_lets_a_held_machine_out(case, shop_on_the_web):
    factories.Hold(machine=case.machine)
    refresh({case.machine.pk}, NOON)
    assert book(shop_on_the_web, reason="please").status_code == 409


def test_the_last_day_is_moved_and_the_old_one_kept(case, shop_on_the_web):
    row = case.booking()
    to = f"{ADDRESS}/{row.pk}"
    answer = shop_on_the_web.send("patch", to, {"last_day": "2026-03-10", "reason": "rain"}, "w1")
    assert (answer.status_code, answer.json()["last_day"]) == (200, "2026-03-10")
    assert [change.reason for change in row.changes.all()] == ["rain"]
    assert shop_on_the_web.send("patch", to, {"last_day": "2026-03-10", "reason": "rain"}, "w1")
    assert row.changes.count() == 1


def test_days_machine_and_customer_are_corrected_and_logged(case, shop_on_the_web):
    row, other = case.booking(), case.another()
    answer = shop_on_the_web.send(
        "patch", f"{ADDRESS}/{row.pk}",
        {"machine": other.tag.lower(), "first_day": "2026-03-03", "customer": "Low Gap"},
    )  # fmt: skip
    assert answer.status_code == 200, answer.json()
    row.refresh_from_db()
    assert (row.machine, row.first_day, row.customer) == (other, date(2026, 3, 3), "Low Gap")
    assert LoggedChange.objects.filter(kind="booking", act="corrected").exists()


def test_a_move_onto_another_promise_is_refused(case, shop_on_the_web):
    row = case.booking(last=date(2026, 3, 4))
    case.booking(first=date(2026, 3, 6))
    answer = shop_on_the_web.send("patch", f"{ADDRESS}/{row.pk}", {"last_day": "2026-03-07"})
    assert (answer.status_code, answer.json()["field"]) == (409, "last_day")


def test_called_off_once_however_often_it_is_sent(case, shop_on_the_web):
    row = case.booking()
    for word in ("w1", "w1", "w2", None):
        answer = shop_on_the_web.send("post", f"{ADDRESS}/{row.pk}/call-off", {}, word)
        assert (answer.status_code, answer.json()["state"]) == (200, "called_off")
    assert LoggedChange.objects.filter(act="called off").count() == 1


def test_one_that_is_out_is_not_called_off(case, shop_on_the_web):
    row = case.out()
    answer = shop_on_the_web.send("post", f"{ADDRESS}/{row.pk}/call-off", {})
    assert answer.status_code == 409
    assert shop_on_the_web.get(f"{ADDRESS}/{row.pk}").json()["state"] == "out"


def test_bookings_are_listed_by_days_machine_and_customer(case, shop_on_the_web):
    row = case.booking()
    said = shop_on_the_web.get(ADDRESS).json()
    assert ([one["id"] for one in said["bookings"]], said["more"]) == ([row.pk], False)
    for asked, found in [
        ({"customer": "alder"}, 1), ({"customer": "nobody"}, 0), ({"machine": "q-1"}, 1),
        ({"first_day": "2026-04-01"}, 0), ({"first_day": "2026-01-01"}, 2),
        ({"first_day": "0001-01-01", "last_day": "9999-12-31"}, 2),
    ]:  # fmt: skip
        assert len(shop_on_the_web.get(ADDRESS, **asked).json()["bookings"]) == found, asked


def test_another_shops_bookings_are_not_there(case):
    row = case.booking()
    other = program(KeyScope.DESK, shop=factories.Shop())
    assert other.get(ADDRESS).json()["bookings"] == []
    assert other.get(f"{ADDRESS}/{row.pk}").status_code == 404
    assert other.send("post", f"{ADDRESS}/{row.pk}/call-off", {}).status_code == 404
    assert book(other).status_code == 404
    row.refresh_from_db()
    assert row.cancelled_at is None


@pytest.mark.parametrize("scope", [KeyScope.READ, KeyScope.READINGS])
def test_only_a_key_for_the_desk_books(case, scope):
    assert book(program(scope)).status_code == 403
    assert program(scope).get(ADDRESS).status_code == 403
    assert not made().exists()


@pytest.mark.parametrize(
    ("more", "status"),
    [
        ({"first_day": "2026-03-05", "last_day": "2026-03-02"}, 422),
        ({"first_day": "2026-03-01"}, 422),
        ({"first_day": "0001-01-01"}, 422),
        ({"last_day": "9999-12-31"}, 422),
        ({"first_day": 20260302}, 422),
        ({"customer": ""}, 422),
        ({"customer": "   "}, 422),
        ({"customer": "a\0b"}, 422),
        ({"customer": "a\ud800b"}, 422),
        ({"customer": "x" * 121}, 422),
        ({"customer": None}, 422),
        ({"value": -1}, 422),
        ({"value": "a lot"}, 422),
        ({"value": "NaN"}, 422),
        ({"value": 1e300}, 422),
        ({"value": "1.005"}, 422),
        ({"machine": "Q-99"}, 404),
        ({"machine": "Q\0"}, 422),
        ({"machine": ""}, 422),
        ({"class": "Quad"}, 422),
        ({"reason": "x" * 301}, 422),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence_and_books_nothing(shop_on_the_web, more, status):
    answer = book(shop_on_the_web, **more)
    assert answer.status_code == status, answer.content
    assert answer.json()["detail"]
    assert not made().exists()


@pytest.mark.parametrize("body", ["", "{", "[]", '"x"', "null", "\0", "é" * 10])
def test_a_body_that_is_no_object_is_refused(shop_on_the_web, body):
    answer = Client().post(
        ADDRESS, body, content_type="application/json",
        HTTP_AUTHORIZATION=f"Bearer {shop_on_the_web.word}",
    )  # fmt: skip
    assert answer.status_code in (400, 422)
    assert answer.json()["detail"]


@pytest.mark.parametrize("number", ["0", "99999999999999999999999999"])
def test_a_booking_that_is_not_there(shop_on_the_web, number):
    assert shop_on_the_web.get(f"{ADDRESS}/{number}").status_code == 404


@pytest.mark.parametrize("written", ["1,200", "$1,200", " 1200.00 ", 1200])
def test_money_is_read_as_people_write_it(shop_on_the_web, written):
    assert book(shop_on_the_web, value=written).json()["value"] == "1200.00"


@pytest.mark.parametrize("word", ["x" * 201, "a\x01b"])
def test_a_word_that_cannot_be_kept_is_refused(shop_on_the_web, word):
    assert book(shop_on_the_web, word=word).status_code == 422
