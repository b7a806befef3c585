"""What is not back rings once: on Counter and Yard, and in a letter with the next customer."""

from datetime import time, timedelta

import pytest
from django.urls import reverse

from fleet.actions.answer_once import KEPT_FOR, forget_answers
from fleet.actions.hand_over import WalkRound, check_in, check_out
from fleet.models import ClientKey, KeptAnswer, Role
from scheduling.models import Notice
from scheduling.notices.late_letters import tell_of_late
from scheduling.queries.late_returns import late_returns
from tests import factories
from tests.factories import NOON, TODAY
from tests.pages import words

pytestmark = pytest.mark.django_db
DAY, HOUR = timedelta(days=1), timedelta(hours=1)


@pytest.fixture
def desk():
    return factories.Person(role=Role.DESK)


@pytest.fixture
def booking(desk):
    """Out since yesterday, to be back today at eleven; it is noon."""
    row = factories.Booking(
        machine__yard__shop=desk.shop, machine__tag="Q-7", customer="Alder Creek",
        first_day=TODAY - DAY, last_day=TODAY, to_time=time(11),
    )  # fmt: skip
    row.hire.customer.phone = "555 0100"
    row.hire.customer.save()
    check_out(row, WalkRound(), by=None, now=NOON - DAY)
    return row


def after_it(booking, customer="Two Pines", first=TODAY + DAY):
    return factories.Booking(
        machine=booking.machine, customer=customer, first_day=first, last_day=first + DAY
    )


def test_it_is_late_from_its_hour_on_and_not_before(booking):
    assert late_returns(NOON - HOUR - timedelta(seconds=1)) == []
    (late,) = late_returns(NOON - HOUR)
    assert (late.booking, late.following) == (booking, None)
    assert late.was_due == "Mon 2 Mar, 11:00"


def test_the_next_customer_within_a_week_is_named(booking):
    following = after_it(booking)
    after_it(booking, "Later", TODAY + 4 * DAY)
    (late,) = late_returns(NOON)
    assert (late.following, late.next_days) == (following, "Tue 3 Mar to Wed 4 Mar")
    following.delete()
    booking.machine.bookings.filter(customer="Later").delete()
    after_it(booking, "Far", TODAY + 8 * DAY)
    assert late_returns(NOON)[0].following is None


def test_the_desk_is_told_once_with_the_ways_out(booking, desk):
    following = after_it(booking)
    assert (tell_of_late(NOON), tell_of_late(NOON + HOUR)) == (1, 0)
    notice = Notice.objects.get()
    assert (notice.person, notice.machine) == (desk, booking.machine)
    assert notice.subject == "Q-7 is not back from Alder Creek: due Mon 2 Mar, 11:00"
    assert "Alder Creek, 555 0100, was to bring it back" in notice.text
    assert "Next to have it: Two Pines, Tue 3 Mar to Wed 4 Mar" in notice.text
    for page, pk in (("check-in", booking.pk), ("booking", booking.pk), ("booking", following.pk)):
        assert reverse(page, args=[pk]) in notice.text


def test_back_it_is_over_and_late_again_it_is_told_again(booking):
    tell_of_late(NOON)
    booking.last_day, booking.to_time = TODAY + DAY, None
    booking.save()
    assert tell_of_late(NOON + HOUR) == 0
    assert Notice.objects.get().over_at == NOON + HOUR
    assert tell_of_late(NOON + 3 * DAY) == 1
    assert list(Notice.objects.order_by("round").values_list("round", flat=True)) == [0, 1]
    check_in(booking, WalkRound(), by=None, now=NOON + 3 * DAY)
    tell_of_late(NOON + 4 * DAY)
    assert not Notice.objects.filter(over_at=None).exists()


def test_counter_and_yard_show_it(booking, client, monkeypatch, desk):
    after_it(booking)
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    manager = factories.Person(shop=desk.shop)
    for who, page in ((desk, "counter"), (manager, "yard")):
        client.force_login(who)
        text = client.get(reverse(page)).text
        assert "Still out past its time" in text
        assert "555 0100, was due back Mon 2 Mar, 11:00" in text
        assert ">Two Pines</a>, Tue 3 Mar to Wed 4 Mar" in text


@pytest.mark.parametrize("number", [1, 8])
def test_three_queries_to_look_however_many(number, desk, django_assert_num_queries):
    for _ in range(number):
        row = factories.Booking(
            machine__yard__shop=desk.shop, first_day=TODAY - 3 * DAY, last_day=TODAY - DAY
        )
        check_out(row, WalkRound(), by=None, now=NOON - 2 * DAY)
    with django_assert_num_queries(3):
        assert len([one.was_due for one in late_returns(NOON)]) == number


def test_old_answers_to_clients_are_forgotten(desk):
    client = ClientKey.objects.create(name="Shop", hint="a", digest="b", made_at=NOON)
    for word, ago in (("old", KEPT_FOR + HOUR), ("new", KEPT_FOR - HOUR)):
        KeptAnswer.objects.create(client=client, word=word, asked="x", at=NOON - ago)
    assert forget_answers(NOON) == 1
    assert KeptAnswer.objects.get().word == "new"


def test_the_page_of_the_next_booking_says_that_its_machine_is_not_here(
    client, desk, booking, monkeypatch
):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    following = after_it(booking)
    client.force_login(desk)
    text = words(client.get(reverse("booking", args=[following.pk])))
    assert "Q-7 is still out with Alder Creek, 555 0100, was due back Mon 2 Mar, 11:00." in text
    assert "is still out with" not in words(client.get(reverse("booking", args=[booking.pk])))
    check_in(booking, WalkRound(), by=None, now=NOON)
    assert "is still out with" not in words(client.get(reverse("booking", args=[following.pk])))
