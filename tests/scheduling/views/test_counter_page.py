"""The counter: the question in the address, the answer, the day."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Booking, Machine, Meter, Reading, Role
from scheduling.models import Block
from tests import consequences, factories
from tests.factories import TODAY
from tests.scheduling.counter_case import LAST, open_counter

pytestmark = pytest.mark.django_db
COUNTER = "/counter/"


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def ask(case, client):
    def asked(**more):
        days = {"first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}
        kind = {"machine_class": case.machine.makeup.machine_class_id}
        return client.get(reverse("counter"), days | kind | more).content.decode()

    return asked


def test_the_first_line_tells_the_day(case, client):
    case.booking()
    text = client.get(COUNTER).content.decode()
    assert "1 machine goes out today, 0 come back." in text
    assert reverse("check-out", args=[case.machine.bookings.last().pk]) in text


def test_machines_still_out_and_coming_back_can_be_taken_back(case, client):
    late = case.out(first=TODAY - timedelta(days=4), last=TODAY - timedelta(days=1))
    text = client.get(COUNTER).content.decode()
    assert "Still out past its time" in text
    assert reverse("check-in", args=[late.pk]) in text


def test_a_booking_at_risk_says_what_to_do_and_asks_for_another(case, client):
    booking = case.booking(first=TODAY + timedelta(days=2))
    consequences.Block(machine=case.machine)
    text = client.get(COUNTER).content.decode()
    assert "give the customer another machine" in text
    assert reverse("booking", args=[booking.pk]) in text
    assert reverse("booking-another", args=[booking.pk]) in text


def test_the_answer_to_a_question_stands_in_the_first_line(ask):
    text = ask()
    assert "1 quad from today to Sun 8 Mar: 1 now." in text
    assert "Book Q-1" in text


def test_a_refusal_says_why_until_when_and_which_instead(case, ask):
    other = case.another()
    case.booking()
    text = ask()
    assert "It is booked for Alder Creek fencing from today to Sun 8 Mar" in text
    assert "Until Sun 8 Mar, in 6 days." in text
    assert f"{other.tag}, {other.makeup}</a>" in text


def test_against_a_hard_block_no_booking_is_offered(case, ask):
    consequences.Block(machine=case.machine, kind=Block.Kind.HOLD, hard=True, due_point=None)
    text = ask()
    assert "Nobody can override this." in text
    assert reverse("counter-book", args=["Q-1"]) not in text


def test_against_a_soft_one_it_is(case, ask):
    consequences.Block(machine=case.machine)
    text = ask()
    assert "Book anyway" in text


def test_work_that_is_done_before_it_goes_is_told_with_its_day(case, ask):
    point = consequences.DuePoint(machine=case.machine, p50=TODAY)
    job = consequences.PlannedJob(machine=case.machine, day=TODAY + timedelta(days=1))
    consequences.PlannedWork(job=job, service=point.service, due_point=point)
    text = ask(first_day=(TODAY + timedelta(days=3)).isoformat())
    assert "1 quad from Thu 5 Mar to Sun 8 Mar: 1 after shop work." in text
    assert "Wed 4 Mar" in text
    assert "after its shop day." in text
    assert "planned for Tue 3 Mar" in text
    assert "Book Q-1" in text
    assert "Book anyway" not in text


def test_the_use_that_the_customer_says_counts(case, ask):
    """Due in 9 usual days of 2 h: seven days of 8 h are more."""
    consequences.DuePoint(
        machine=case.machine, p50=TODAY + timedelta(days=9), meter_kind="hours", rate_per_day=2.0
    )
    assert "1 quad from today to Sun 8 Mar: 1 now." in ask()
    text = ask(hours_a_day="8")
    assert "none may go, 1 to be serviced first" in text
    assert "Due before it is back" in text


def test_machines_of_another_shop_are_not_offered(case, ask):
    other = factories.Machine(makeup=case.machine.makeup)
    consequences.MachineState(machine=other)
    assert other.tag not in ask()


BAD = [
    ({"machine_class": "99999"}, "There is no such class"),
    ({"machine_class": ""}, "Say which class of machine."),
    ({"first_day": ""}, "Say from which day."),
    ({"first_day": "soon"}, "That is not a day of the calendar"),
    ({"first_day": "2026-02-27"}, "That day is past"),
    ({"last_day": "2026-03-01"}, "The last day is before the first"),
    ({"last_day": "2028-03-01"}, "That is more than a year"),
    ({"hours_a_day": "much"}, "Write the hours in digits"),
    ({"hours_a_day": "25"}, "A day has 24 hours."),
    ({"yard": "99999"}, "There is no such yard"),
]


@pytest.mark.parametrize(("typed", "sentence"), BAD)
def test_what_makes_no_sense_is_said_at_its_field(ask, typed, sentence):
    text = ask(**typed)
    assert sentence in text
    assert "To go out today" in text


def test_the_time_zone_of_the_shop_decides_what_today_is(case, client):
    """At noon UTC on 2 March it is 3 March already on Kiritimati, 14 hours ahead."""
    shop = case.desk.shop
    shop.time_zone = "Pacific/Kiritimati"
    shop.save()
    assert 'value="2026-03-03"' in client.get(COUNTER).content.decode()


@pytest.mark.parametrize("url", [COUNTER, "/counter/calendar/"])
class TestWhoMayLook:
    def test_the_manager_may(self, client, url):
        client.force_login(factories.Person(role=Role.MANAGER))
        assert client.get(url).status_code == 200

    def test_a_mechanic_may_not(self, client, url):
        client.force_login(factories.Mechanic())
        assert client.get(url).status_code == 403

    def test_signed_out_means_sign_in_first(self, client, url):
        assert client.get(url).url.startswith(reverse("sign-in"))

    def test_it_only_answers(self, case, client, url):
        assert client.post(url).status_code == 405

    def test_an_empty_fleet_is_told(self, case, client, url):
        for model in (Booking, Reading, Meter, Machine):
            model.objects.all().delete()
        text = client.get(url).content.decode()
        assert "0 machines go out today" in text or "No machine matches" in text


def test_without_any_class_it_says_what_to_do_first(client):
    client.force_login(factories.Person(role=Role.DESK))
    assert "No machine is set up yet." in client.get(COUNTER).content.decode()


def test_queries_do_not_grow_with_the_fleet(case, client, django_assert_max_num_queries):
    for _ in range(40):
        machine = case.another()
        factories.Booking(machine=machine, first_day=TODAY, last_day=LAST)
        factories.Booking(
            machine=machine, first_day=LAST + timedelta(days=1), last_day=LAST + timedelta(days=2)
        )
        consequences.Block(machine=machine)
    kind = case.machine.makeup.machine_class_id
    question = {"machine_class": kind, "first_day": TODAY.isoformat(), "last_day": LAST.isoformat()}
    with django_assert_max_num_queries(19):
        client.get(COUNTER)
    with django_assert_max_num_queries(19):
        client.get(COUNTER, question)
