"""Check-out and return: the form comes back with everything typed until it can be taken."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Finding, HandOver, Hold, Meter, Override, Reading
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.counter_case import FINE, open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def send(client):
    def sent(page, booking, **more):
        typed = {"form_key": "k1", "reading_hours": "110", **FINE}
        return client.post(reverse(page, args=[booking.pk]), typed | more)

    return sent


def test_the_form_asks_for_each_meter_and_each_point(case, client):
    factories.Meter(machine=case.machine, kind="distance")
    text = client.get(reverse("check-out", args=[case.booking().pk])).content.decode()
    assert "Hour meter shows, h" in text
    assert "Odometer shows, mi" in text
    assert "Last read 100.0 h on" in text
    assert "Fri 27 Feb, 12:00" in text
    assert text.count(" not in order</label>") == 8


def test_out_and_back_with_readings(case, send, monkeypatch):
    booking = case.booking()
    assert send("check-out", booking).url == reverse("booking", args=[booking.pk])
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON + timedelta(days=3))
    send("check-in", booking, form_key="k2", reading_hours="115.5")
    out, back = HandOver.objects.order_by("pk")
    assert [out.readings.get().value, back.readings.get().value] == [110.0, 115.5]
    assert out.by == case.desk
    assert all(out.walk_round.values())


def test_pressed_twice_it_goes_out_once(case, send, client):
    booking = case.booking()
    send("check-out", booking)
    page = client.get(send("check-out", booking).url)
    assert "has gone out on this booking already" in page.content.decode()
    assert HandOver.objects.count() == 1
    assert Reading.objects.filter(value=110.0).count() == 1


class TestOddReadings:
    def test_it_is_refused_in_place_with_choices_and_nothing_is_lost(self, case, send):
        text = send("check-out", case.booking(), reading_hours="90", note="hitch bent")
        text = text.content.decode()
        assert "Q-1 showed 100.0 h on Fri 27 Feb; 90.0 h would be 10 h back." in text
        assert 'value="90"' in text
        assert "hitch bent" in text
        for choice in ("mistyped", "swapped", "really_so"):
            assert f'name="answer_hours" value="{choice}"' in text
        assert not HandOver.objects.exists()

    def test_typed_again_it_is_taken(self, case, send):
        booking = case.booking()
        send("check-out", booking, reading_hours="90")
        send("check-out", booking, reading_hours="109", answer_hours="mistyped")
        assert HandOver.objects.get().readings.get().value == 109.0

    def test_really_so_is_taken_and_marked(self, case, send):
        send("check-out", case.booking(), reading_hours="90", answer_hours="really_so")
        assert Reading.objects.get(value=90.0).really_so

    def test_what_was_meant_is_taken(self, case, send):
        booking = case.booking()
        text = send("check-out", booking, reading_hours="1060").content.decode()
        assert "It shows 106.0 h" in text
        send("check-out", booking, reading_hours="1060", answer_hours="meant")
        assert HandOver.objects.get().readings.get().value == 106.0

    def test_a_swap_fits_a_new_meter(self, case, send):
        swap = {"reading_hours": "4", "answer_hours": "swapped", "old_last_hours": "104"}
        send("check-out", case.booking(), **swap)
        old, new = Meter.objects.order_by("fitted_at")
        assert (old.last_value, new.first_value) == (104.0, 0.0)

    @pytest.mark.parametrize(
        ("typed", "sentence"),
        [
            ({"reading_hours": ""}, "No reading is given"),
            ({"reading_hours": "twelve"}, "“twelve”"),
            ({"reading_hours": "110 mi"}, "is not a unit of an hour meter"),
            ({"reading_hours": "1" * 41}, "too long for a meter"),
            ({"point_3": ""}, "Look at this point, then say how it is."),
            ({"point_3": "perhaps"}, "Look at this point, then say how it is."),
            ({"note": "x" * 301}, "at most 300 characters"),
            ({"unsafe": "on"}, "Say in a few words what is not safe."),
            ({"form_key": "x" * 21}, "at most 20 characters"),
        ],
    )
    def test_bad_input_is_said_at_its_field_and_nothing_goes(self, case, send, typed, sentence):
        text = send("check-out", case.booking(), **typed).content.decode()
        assert sentence in text
        assert 'role="alert"' in text
        assert not HandOver.objects.exists()

    def test_a_meter_that_cannot_be_read_is_a_finding(self, case, send):
        send("check-out", case.booking(), reading_hours="", unread_hours="on")
        assert HandOver.objects.exists()
        assert Finding.objects.get().text == "The hour meter cannot be read"


class TestWalkRound:
    def test_a_fault_at_return_becomes_a_finding(self, case, send):
        send("check-in", case.out(), point_1="no", note="pulls left")
        assert "brakes and steering work (pulls left)" in Finding.objects.get().text

    def test_a_point_that_it_has_not_is_left_away(self, case, send):
        send("check-out", case.booking(), point_7="none")
        assert len(HandOver.objects.get().walk_round) == 7

    def test_not_safe_at_return_is_held_under_the_persons_name(self, case, send, client):
        answer = send("check-in", case.out(), unsafe="on", unsafe_text="brakes fail")
        hold = Hold.objects.get()
        assert (hold.placed_by, hold.reason) == (case.desk, "brakes fail")
        assert "is held: brakes fail" in client.get(answer.url).content.decode()

    def test_it_is_held_even_while_the_form_has_faults(self, case, send):
        booking = case.out()
        for _ in range(2):
            page = send("check-in", booking, unsafe="on", unsafe_text="brakes fail", point_0="")
        assert "Q-1 is held: brakes fail." in page.content.decode()
        assert Hold.objects.count() == 1
        assert not booking.hand_overs.filter(direction="back").exists()

    def test_not_safe_at_check_out_stays(self, case, send):
        booking = case.booking()
        answer = send("check-out", booking, unsafe="on", unsafe_text="brakes fail")
        assert answer.url == reverse("booking", args=[booking.pk])
        assert Hold.objects.exists()
        assert not HandOver.objects.exists()


class TestBlocks:
    def test_a_soft_block_asks_for_a_reason_and_keeps_it_with_the_name(self, case, send, client):
        factories.Interval(makeup=case.machine.makeup, every=50.0, late=1.0)
        booking = case.booking()
        assert "overdue" in send("check-out", booking).content.decode()
        send("check-out", booking, reason="goes to our own ranch")
        row = Override.objects.get()
        assert (row.by, row.reason) == (case.desk, "goes to our own ranch")
        assert "overdue" in row.against
        page = client.get(reverse("booking", args=[booking.pk])).content.decode()
        assert "goes to our own ranch" in page

    def test_a_forged_reason_does_not_open_a_hard_limit(self, case, send):
        factories.Interval(makeup=case.machine.makeup, every=50.0, late=1.0, hard=True)
        text = send("check-out", case.booking(), reason="let it out whatever").content.decode()
        assert "Nobody" in text
        assert not HandOver.objects.exists()
        assert not Override.objects.exists()

    def test_nor_a_hold_and_the_form_is_not_offered(self, case, send, client):
        hold = factories.Hold(machine=case.machine)
        consequences.Block(machine=case.machine, kind="hold", hard=True, due_point=None, hold=hold)
        booking = case.booking()
        page = client.get(reverse("check-out", args=[booking.pk])).content.decode()
        assert "another machine</a>" in page
        assert '<form class="form hand-over' not in page
        text = send("check-out", booking, reason="let it out whatever").content.decode()
        assert "is held" in text
        assert not HandOver.objects.exists()

    def test_a_machine_comes_back_whatever_stands_against_it(self, case, send):
        booking = case.out()
        factories.Hold(machine=case.machine)
        send("check-in", booking)
        assert booking.hand_overs.filter(direction="back").exists()


class TestNotItsTurn:
    @pytest.mark.parametrize("page", ["check-out", "check-in"])
    def test_a_booking_called_off(self, case, client, page):
        booking = factories.Booking(machine=case.machine, cancelled_at=NOON)
        text = client.get(reverse(page, args=[booking.pk]), follow=True).content.decode()
        assert "was called off" in text

    def test_back_before_out(self, case, client):
        url = reverse("check-in", args=[case.booking().pk])
        assert "check it out first" in client.get(url, follow=True).content.decode()

    def test_out_after_its_last_day(self, case, client):
        booking = case.booking(first=TODAY - timedelta(days=4), last=TODAY - timedelta(days=2))
        text = client.get(reverse("check-out", args=[booking.pk])).content.decode()
        assert "Move its last day first" in text


@pytest.mark.parametrize("others", [4, 39])
def test_queries_do_not_grow_with_the_fleet(case, client, others, django_assert_max_num_queries):
    for _ in range(others):
        case.another()
    factories.Hold(machine=case.machine)
    url = reverse("check-out", args=[case.booking().pk])
    with django_assert_max_num_queries(20):
        client.get(url)
