"""Planned and done.  Today is Monday 2 March 2026."""

import pytest
from django.urls import reverse

from fleet.models import PutOff
from scheduling.worker.night import run_night
from tests import factories
from tests.factories import NOON, key_of
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.hindsight.list_case import ListCase

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def case():
    """Four days of February: done, put off, done late (it was listed twice), and one beside."""
    case = ListCase()
    for day in (-20, -13, -12, -6):
        case.keep(day)
    case.did(-20)
    case.did(-12)
    PutOff.objects.create(
        machine=case.machine, work_key=case.key, day=case.day(-6), reason="no oil left",
        by=case.mechanic, at=case.at(-6, 9),
    )  # fmt: skip
    grease = factories.Service(name="Grease all points")
    case.did(-6, service=grease)
    return case


def page(client, **query):
    return client.get(reverse("planned-done"), query)


def test_the_first_line_says_the_month(client, case):
    sign_in(client, "mechanic", case.shop)
    response = page(client, month="2026-02")
    assert answer(response) == (
        "50 % of what was on the day's list in Feb 2026 was done that day: 2 of 4."
    )
    text = words(response)
    assert "On 4 days the lists came to 6 h with visits and set-ups, out of 32 h available" in text
    assert "The book has 3 h 45 min of work." in text


def test_each_figure_leads_to_what_is_behind_it(client, case):
    sign_in(client, shop=case.shop)
    first = page(client, month="2026-02").content.decode()
    assert "month=2026-02&amp;what=put_off" in first
    put_off = words(page(client, month="2026-02", what="put_off"))
    assert "Put off: 1" in put_off
    assert "no oil left" in put_off
    late = words(page(client, month="2026-02", what="later"))
    assert "Wed 18 Feb, 1 day later no reason on record" in late
    beside = words(page(client, month="2026-02", what="beside"))
    assert "Done off the list: 1" in beside
    assert "Grease all points" in beside


def test_without_a_choice_the_latest_month_is_shown_with_all_that_differed(client, case):
    run_night(case.shop, NOON)
    sign_in(client, shop=case.shop)
    text = words(page(client))
    assert "February 2026" in text
    assert "Not done on its day: 2" in text
    assert "Counted by the nightly run of Mon 2 Mar" in text


def test_a_shop_without_lists_is_told_when_there_will_be_some(client):
    sign_in(client, shop=factories.Shop())
    response = page(client)
    assert "No day's list from Mar 2026" in answer(response)
    assert "Each night keeps the list of the day that begins" in words(response)


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ({"month": "2019-01"}, "Choose one of the last twelve months."),
        ({"month": "soon"}, "Choose one of the last twelve months."),
        ({"what": "nothing"}, "Choose one of the lists offered."),
    ],
)
def test_a_bad_choice_gets_a_sentence(client, case, query, said):
    sign_in(client, shop=case.shop)
    assert said in words(page(client, **query))


def test_another_shop_stays_shut(client, case):
    sign_in(client, "mechanic", factories.Shop())
    assert case.machine.tag not in words(page(client, month="2026-02", shop=case.shop.pk))


def test_the_desk_is_not_let_in(client, case):
    sign_in(client, "desk", case.shop)
    assert page(client).status_code == 403


def test_who_is_signed_out_signs_in_first(client):
    assert page(client).status_code == 302


def test_number_of_queries_does_not_grow(client, case, django_assert_num_queries):
    sign_in(client, shop=case.shop)
    page(client)
    with django_assert_num_queries(21) as one:
        page(client, month="2026-02")
    for back in (5, 7, 8, 9, 10):
        machine = factories.Machine(yard__shop=case.shop)
        case.keep(-back, case.row(machine=machine, work_key=key_of(machine, "oil")))
        factories.ServiceRecord(machine=machine, service=case.oil, done_at=case.at(-5, 9))
    with django_assert_num_queries(len(one)):
        page(client, month="2026-02")
