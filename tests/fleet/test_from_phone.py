"""What a phone sends by itself: told where it leads, told whose a page is, and when it counts."""

from datetime import timedelta

import pytest
from django.contrib import messages
from django.test import RequestFactory
from django.urls import reverse
from django.utils import timezone

from fleet.from_phone import AGO, BY_ITSELF, LEADS_TO, WHOSE, pressed_at
from fleet.models import Finding, Hold, Reading
from tests import factories
from tests.factories import NOON

BY_PHONE = {BY_ITSELF: "1"}


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ("7200", 2),
        ("9000.000", 2.5),
        ("59", None),  # it came at once
        ("2592001", None),  # more than 30 days
        ("-7200", None),
        ("1e4", None),
        ("7200.", None),
        ("7200.0001", None),
        ("²", None),
        ("9" * 400, None),
        ("", None),
    ],
)
def test_a_press_that_waited_is_of_the_time_at_which_it_was_made(said, hours):
    request = RequestFactory().post("/", headers={AGO: said})
    wanted = NOON - timedelta(hours=hours) if hours else None
    assert pressed_at(request, NOON) == wanted


def test_presses_that_follow_close_upon_one_another_stay_in_their_order():
    first, then = (RequestFactory().post("/", headers={AGO: ago}) for ago in ("7200.4", "7200.2"))
    assert pressed_at(first, NOON) < pressed_at(then, NOON)


@pytest.mark.django_db
class TestAnswers:
    """The site answers a phone that sends by itself."""

    @pytest.fixture
    def meter(self, client):
        meter = factories.Meter(machine__tag="Q-1")
        week = timezone.now() - timedelta(days=7)
        factories.Reading(meter=meter, value=412.0, read_at=week)
        client.force_login(factories.Mechanic(shop=meter.machine.yard.shop))
        return meter

    def test_each_page_says_whose_it_is(self, client, meter):
        page = client.get(reverse("meter-round"))
        assert page.headers[WHOSE] == str(page.wsgi_request.user.pk)
        client.logout()
        assert client.get(reverse("sign-in")).headers[WHOSE] == "none"

    def test_who_is_signed_out_is_told_where_to_sign_in_and_nobody_is_led_there(self, client, db):
        answer = client.post(reverse("meter-round"), headers=BY_PHONE)
        assert answer.status_code == 204
        assert answer.headers[LEADS_TO].startswith(reverse("sign-in"))

    def test_a_page_taken_along_shows_no_message_and_uses_none_up(self, client, meter):
        hold = {"reason": "brakes pull to the left", "owner": client.session["_auth_user_id"]}
        answer = client.post(reverse("hold-machine", args=["Q-1"]), hold, headers=BY_PHONE)
        assert answer.status_code == 204
        assert Hold.objects.get().reason == "brakes pull to the left"
        taken_along = client.get(reverse("meter-round"), headers=BY_PHONE)
        assert "Q-1 is held." not in taken_along.text
        assert "Q-1 is held." in client.get(reverse("meter-round")).text
        assert not list(messages.get_messages(taken_along.wsgi_request))

    def test_a_reading_and_what_is_wrong_are_of_the_time_of_the_press(self, client, meter):
        late = {AGO: str(3 * 3600)}
        line = reverse("meter-round-line", args=[meter.pk])
        taken = client.post(line, {f"value-{meter.pk}": "415", "key": "k"}, headers=late)
        asked = client.post(line, {f"value-{meter.pk}": "4", "key": "k"}, headers=late)
        assert [answer.headers["Evener-Taken"] for answer in (taken, asked)] == ["yes", "no"]
        wrong = {"what": "It leaks", "gravity": "defect", "form_key": "w"}
        client.post(reverse("scan-wrong", args=[meter.machine.pk]), wrong, headers=late)
        reading, finding = Reading.objects.get(value=415), Finding.objects.get()
        for at in (reading.read_at, finding.seen_at):
            assert timedelta(hours=2.9) < reading.entered_at - at < timedelta(hours=3.1)
