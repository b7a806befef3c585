"""Check-outs and returns corrected and undone from the booking's page."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.actions.correct_readings import strike_reading
from fleet.actions.hand_over import WALK_ROUND, WalkRound, check_in
from fleet.models import Booking, HandOver, Role
from fleet.queries.handed_readings import readings_at
from fleet.queries.standing_readings import standing
from fleet.walk_round_library import general_points
from scheduling.models import DuePoint
from tests import factories
from tests.factories import NOON
from tests.scheduling.counter_case import FINE, LAST, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def counter(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def back(counter):
    """Q-1 out yesterday and back an hour ago at 110 h; the booking ran until Sunday."""
    booking = counter.out()
    HandOver.objects.update(at=NOON - timedelta(days=1))
    at = NOON - timedelta(hours=1)
    reading = factories.Reading(meter=counter.meter, value=110.0, read_at=at)
    seen = WalkRound(dict.fromkeys(WALK_ROUND, True), "", [reading])
    return check_in(booking, seen, by=counter.desk, now=at)


def send(client, row, reading=None, **more):
    reading = reading or row.readings.get()
    typed = {
        "when": "2026-03-02T11:00",
        f"reading_{reading.pk}": "110",
        "note": "",
        "why": "misread",
    }
    return client.post(reverse("hand-over-correct", args=[row.pk]), typed | FINE | more)


def test_the_booking_leads_to_it_and_it_opens_as_it_was_written(client, back):
    page = client.get(reverse("booking", args=[back.booking_id])).text
    address = reverse("hand-over-correct", args=[back.pk])
    assert f'href="{address}"' in page
    assert 'value="110"' in client.get(address).text


def test_a_corrected_value_stands_and_the_old_one_is_struck_through(client, back):
    (reading,) = back.readings.all()
    assert send(client, back, **{f"reading_{reading.pk}": "108"}).status_code == 302
    assert standing().latest("read_at").value == 108
    page = client.get(reverse("booking", args=[back.booking_id])).text
    assert "<s><strong>Came back</strong>" in page
    assert "108.0 h" in page


def test_a_correction_without_a_reason_is_not_taken(client, back):
    assert "Say why it is corrected" in send(client, back, note="late", why=" ").text
    assert HandOver.objects.get(pk=back.pk).note == ""


def test_an_odd_value_asks_whether_it_is_so(client, back):
    (reading,) = back.readings.all()
    odd = {f"reading_{reading.pk}": "50"}
    assert "It really shows that" in send(client, back, **odd).text
    assert send(client, back, **odd, answer="really_so").status_code == 302


def test_an_undone_return_is_out_again_until_its_old_last_day(client, back):
    address = reverse("hand-over-undo", args=[back.pk])
    assert "Say why" in client.post(address, {"why": ""}).text
    answer = client.post(address, {"why": "another machine"}, follow=True)
    assert "Q-1: the return is undone" in answer.text
    assert "Take back" in answer.text
    assert Booking.objects.get(pk=back.booking_id).last_day == LAST
    assert standing().count() == 1


def test_what_was_built_upon_is_said_in_place_of_the_undo(client, back):
    out = HandOver.objects.get(direction="out")
    address = reverse("hand-over-undo", args=[out.pk])
    assert "undo the return first" in client.post(address, {"why": "no"}).text


def test_one_that_was_put_right_leads_back_to_the_booking(client, back):
    send(client, back, note="late")
    assert send(client, back, note="later").status_code == 302
    assert HandOver.objects.get(direction="back").note == "late"


def test_a_mechanic_and_another_shop_may_not(client, counter, back):
    client.force_login(factories.Mechanic(shop=counter.desk.shop))
    assert send(client, back).status_code == 403
    client.force_login(factories.Person(role=Role.DESK))
    assert send(client, back).status_code == 404


@pytest.mark.django_db(transaction=True)
def test_a_reading_that_was_forgotten_is_added_and_moves_what_follows(client, counter, back):
    reading = back.readings.get()
    strike_reading(reading, why="of another machine", by=counter.desk, now=NOON)
    page = client.get(reverse("hand-over-correct", args=[back.pk])).text
    assert "No reading was written down then." in page
    typed = {"when": "2026-03-02T11:00", "note": "", "why": "forgotten", **FINE}
    address = reverse("hand-over-correct", args=[back.pk])
    assert "“many”" in client.post(address, typed | {"forgotten_hours": "many"}).text
    assert "It really shows that" in client.post(address, typed | {"forgotten_hours": "50"}).text
    assert client.post(address, typed | {"forgotten_hours": "112.5"}).status_code == 302
    assert standing().latest("read_at").value == 112.5
    text = client.get(reverse("booking", args=[back.booking_id])).text
    assert "112.5 h" in text
    due = DuePoint.objects.get(machine=counter.machine)
    assert due.remaining == pytest.approx(1000 - 112.5)


class TestAfterARefusedPress:
    """At noon it is refused, a point being not in order; at twenty past it goes with a reason."""

    @pytest.fixture
    def out(self, client, counter, monkeypatch):
        wrong = [point.safety for point in general_points()].index(False)
        address = reverse("check-out", args=[counter.booking().pk])
        typed = {"form_key": "k1", "reading_hours": "110", **FINE, f"point_{wrong}": "no"}
        assert "Not in order" in client.post(address, typed).text
        later = NOON + timedelta(minutes=20)
        monkeypatch.setattr("django.utils.timezone.now", lambda: later)
        assert client.post(address, typed | {"reason": "a dent alone"}).status_code == 302
        return HandOver.objects.get()

    def test_its_reading_is_offered_on_the_page_that_corrects_it(self, client, out):
        (reading,) = out.readings.all()
        assert reading.read_at == NOON
        text = client.get(reverse("hand-over-correct", args=[out.pk])).text
        assert f'name="reading_{reading.pk}"' in text
        assert "No reading was written down then." not in text

    def test_put_right_twice_it_is_offered_each_time(self, client, out):
        for value in ("108", "109"):
            row = HandOver.objects.get()
            (reading,) = readings_at(row)
            more = {"when": "2026-03-02T12:20", f"reading_{reading.pk}": value, "hours_a_day": ""}
            assert send(client, row, reading, **more).status_code == 302
        (reading,) = readings_at(HandOver.objects.get())
        assert (reading.value, reading.read_at) == (109, NOON)
        assert standing().filter(value__gte=108).get() == reading

    def test_undone_its_reading_is_struck_with_it(self, client, counter, out):
        client.post(reverse("hand-over-undo", args=[out.pk]), {"why": "another machine"})
        assert standing().get().value == 100
