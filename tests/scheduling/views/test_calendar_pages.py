"""The calendar page and its feeds: who may read what, and what opens nothing."""

import pytest
from django.urls import reverse
from icalendar import Calendar

from fleet.actions.open_calendar import calendar_key
from fleet.models import CalendarKey, Role
from fleet.queries.calendar_holders import token_of
from scheduling.actions.replan import publish_days
from scheduling.models import PlannedJob
from tests import factories
from tests.factories import NOON, TODAY
from tests.pages import words
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return bench_case()


def token(person):
    return token_of(calendar_key(person, now=NOON))


def own(case, reader=None):
    reader = reader or case.mechanic
    return reverse("calendar-mechanic", args=[token(reader), case.mechanic.username])


def whole(case, reader):
    return reverse("calendar-shop", args=[token(reader), case.mechanic.shop.pk])


def events(response):
    assert response.status_code == 200
    return Calendar.from_ical(response.content).walk("VEVENT")


def test_a_mechanic_reads_their_days_without_signing_in(client, case):
    response = client.get(own(case))
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    (event,) = events(response)
    assert event.decoded("dtstart") == TODAY
    assert event["summary"] == "1 machine, 1 h 30 min: Q-1"


def test_the_shops_calendar_has_everybody_by_name(client, case):
    other = factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    machine = factories.Machine(yard__shop=case.mechanic.shop)
    PlannedJob.objects.create(
        plan=case.job.plan, machine=machine, day=TODAY, mechanic=other, minutes=30
    )
    said = {str(event["summary"])[:3] for event in events(client.get(whole(case, case.mechanic)))}
    assert said == {"Jo:", "Bo:"}
    assert len(events(client.get(own(case)))) == 1


def test_a_manager_reads_each_mechanic_of_their_shop(client, case):
    assert len(events(client.get(own(case, case.manager)))) == 1


@pytest.mark.parametrize("role", [Role.MECHANIC, Role.MANAGER])
def test_another_shop_stays_shut(client, case, role):
    stranger = factories.Person(role=role)
    assert client.get(own(case, stranger)).status_code == 404
    assert client.get(whole(case, stranger)).status_code == 404


def test_a_mechanic_reads_no_other_mechanics_own_calendar(client, case):
    other = factories.Mechanic(shop=case.mechanic.shop)
    assert client.get(own(case, other)).status_code == 404


def test_an_address_of_the_desk_opens_nothing(client, case):
    desk = factories.Person(role=Role.DESK, shop=case.mechanic.shop)
    assert client.get(whole(case, desk)).status_code == 404


def test_somebody_who_left_reads_nothing_any_more(client, case):
    address = own(case)
    case.mechanic.is_active = False
    case.mechanic.save()
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("how", ["cut", "word", "sign", "empty"])
def test_a_forged_address_opens_nothing(client, case, how):
    right = token(case.mechanic)
    word, sign = right.split(".")
    forged = {
        "cut": right[:-1], "word": f"{word[::-1]}.{sign}", "sign": f"{word}.{sign[::-1]}",
        "empty": ".",
    }[how]  # fmt: skip
    address = reverse("calendar-mechanic", args=[forged, case.mechanic.username])
    assert client.get(address).status_code == 404


def test_the_word_alone_that_stands_in_the_database_opens_nothing(client, case):
    token(case.mechanic)
    word = CalendarKey.objects.get().word
    address = reverse("calendar-mechanic", args=[word, case.mechanic.username])
    assert client.get(address).status_code == 404


def test_a_phone_that_asks_again_is_told_that_nothing_changed(client, case):
    address = own(case)
    tag = client.get(address)["ETag"]
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 304
    PlannedJob.objects.update(minutes=95)
    assert client.get(address, headers={"If-None-Match": tag}).status_code == 200


def test_a_feed_is_read_and_nothing_else(client, case):
    assert client.post(own(case)).status_code == 405


def test_publishing_makes_the_day_certain_and_numbers_it_anew(client, case):
    (before,) = events(client.get(own(case)))
    publish_days(case.mechanic.shop, TODAY, 7, by=case.manager, now=NOON.replace(hour=13))
    (after,) = events(client.get(own(case)))
    assert (before["status"], after["status"]) == ("TENTATIVE", "CONFIRMED")
    assert after["sequence"] > before["sequence"]
    assert after["uid"] == before["uid"]


def test_a_shop_without_a_plan_has_an_empty_calendar(client):
    person = factories.Mechanic()
    address = reverse("calendar-shop", args=[token(person), person.shop.pk])
    assert events(client.get(address)) == []


def test_the_page_makes_an_address_only_when_asked(client, case):
    client.force_login(case.mechanic)
    assert "Make my address" in words(client.get(reverse("calendar")))
    assert not CalendarKey.objects.exists()
    shown = client.post(reverse("calendar-address"), follow=True).content.decode()
    assert own(case) in shown
    assert whole(case, case.mechanic) in shown


def test_a_new_address_kills_the_old_one(client, case):
    old = own(case)
    client.force_login(case.mechanic)
    client.post(reverse("calendar-address"), {"do": "anew"})
    assert client.get(old).status_code == 404
    assert client.get(own(case)).status_code == 200
    client.post(reverse("calendar-address"), {"do": "close"})
    assert not CalendarKey.objects.exists()


def test_a_manager_is_offered_the_shop_and_each_mechanic(client, case):
    key = token(case.manager)
    client.force_login(case.manager)
    shown = client.get(reverse("calendar")).content.decode()
    assert reverse("calendar-mechanic", args=[key, case.mechanic.username]) in shown
    assert "Your own shop days" not in shown


@pytest.mark.parametrize(("role", "status"), [(Role.DESK, 403), (None, 302)])
def test_who_may_not_see_the_page(client, role, status):
    if role:
        client.force_login(factories.Person(role=role))
    assert client.get(reverse("calendar")).status_code == status
    assert client.post(reverse("calendar-address")).status_code == status


def test_an_address_is_not_changed_by_looking(client, case):
    client.force_login(case.mechanic)
    assert client.get(reverse("calendar-address")).status_code == 405
