"""The calendar page: what is shown stands in the address."""

import re
from datetime import timedelta
from urllib.parse import urljoin

import pytest

from scheduling.queries.may_go_out import may_go_out
from scheduling.views import booking_calendar_page
from tests import consequences, factories
from tests.factories import TODAY
from tests.scheduling.counter_case import open_counter

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    return open_counter(client, monkeypatch)


@pytest.fixture
def show(case, client):
    return lambda **more: client.get("/counter/calendar/", more).content.decode()


def test_four_weeks_from_today_and_one_day_for_a_phone(case, show):
    booking = case.booking()
    text = show()
    assert "Q-1" in text
    assert text.count(booking.customer) == 2  # in the grid, and on the one day
    yesterday = show(first_day=(booking.first_day - timedelta(days=1)).isoformat())
    assert yesterday.count(booking.customer) == 1
    assert 'scope="colgroup"' in text
    assert text.count('<th scope="col" class="cal-day') == 28


@pytest.mark.parametrize("weeks", [1, 5])
def test_one_week_or_five(show, weeks):
    assert show(weeks=weeks).count('<th scope="col" class="cal-day') == 7 * weeks


def test_of_half_a_year_the_weeks_alone_are_named(show):
    text = show(weeks=26)
    assert text.count('scope="colgroup"') == 26
    assert 'class="cal-day' not in text


def test_blocks_are_told_by_word_and_sentence(case, show):
    consequences.Block(machine=case.machine)
    text = show()
    assert "overdue" in text
    (told,) = may_go_out(case.machine, TODAY, TODAY, TODAY).told
    assert told in text


def test_class_yard_and_state_narrow_it(case, show):
    other = factories.Machine(yard=case.machine.yard)
    assert other.tag in show()
    consequences.MachineState(machine=other, state="overdue")
    assert other.tag in show(state="overdue")
    assert case.machine.tag not in show(state="overdue")
    assert other.tag not in show(machine_class=case.machine.makeup.machine_class_id)
    assert other.tag in show(yard=case.machine.yard_id)


def test_earlier_and_later_keep_the_choices(case, show):
    kind = case.machine.makeup.machine_class_id
    text = show(machine_class=kind)
    later = (TODAY + timedelta(days=28)).isoformat()
    assert f"?machine_class={kind}&amp;first_day={later}" in text


BAD = [
    ({"weeks": "27"}, "Choose 1 to 26 weeks."),
    ({"state": "shiny"}, "There is no such state"),
    ({"first_day": "soon"}, "That is not a day of the calendar"),
    ({"first_day": "2126-01-01"}, "more than ten years away"),
    ({"machine_class": "x"}, "There is no such class"),
    ({"yard": "x"}, "There is no such yard"),
]


@pytest.mark.parametrize(("typed", "sentence"), BAD)
def test_what_makes_no_sense_is_said_and_four_weeks_are_shown(show, typed, sentence):
    text = show(**typed)
    assert sentence in text
    assert text.count('<th scope="col" class="cal-day') == 28


def test_free_days_lead_to_a_booking_from_today_on(case, show, client):
    text = show(first_day=(TODAY - timedelta(days=3)).isoformat())
    assert f'href="../book/Q-1/?first_day={TODAY}"' in text
    address = urljoin("/counter/calendar/", f"../book/Q-1/?first_day={TODAY}")
    assert f'value="{TODAY}"' in client.get(address).content.decode()
    past = show(first_day=(TODAY - timedelta(days=30)).isoformat(), weeks=1)
    assert "/book/Q-1/" not in past


def test_a_block_leads_to_what_stands_against_it_and_is_told_in_full(case, show, client):
    consequences.Block(machine=case.machine)
    text = show()
    (told,) = may_go_out(case.machine, TODAY, TODAY, TODAY).told
    link = re.search(r'<a class="cal-why" href="([^"]*)" aria-describedby=(s\d+)>(.*?)</a>', text)
    assert link is not None
    assert f'<p id="{link[2]}">{told}.</p>' in text
    assert "<i>overdue</i>" in link[3]
    assert "why Q-1 may not go" in link[3]
    page = client.get(urljoin("/counter/calendar/", link[1])).content.decode()
    assert told in page


def test_a_strip_says_its_words_and_short_ones_that_are_not_read_aloud(case, show):
    consequences.DuePoint(machine=case.machine, p50=TODAY + timedelta(days=5))
    text = show()
    assert '<i>to be planned</i><i aria-hidden="true">plan</i></span><b>: book Q-1</b>' in text


def test_a_sentence_that_many_cells_share_stands_there_once(case, show):
    other = case.another()
    for machine in (case.machine, other):
        hold = consequences.Block(machine=machine, kind="hold", hard=True, due_point=None)
    text = show()
    (told,) = may_go_out(hold.machine, TODAY, TODAY, TODAY).told
    grid = text[: text.index('id="the-day"')]
    assert grid.count(told) == 1
    assert grid.count("aria-describedby=s0") == 2


def test_all_machines_of_a_yard_are_on_one_scroll(case, show):
    for _ in range(30):
        case.another()
    text = show()
    assert text.count('<th scope="row"') == 31
    assert "page=2" not in text


def test_a_whole_fleet_goes_on_to_a_next_page(case, show, monkeypatch):
    monkeypatch.setattr(booking_calendar_page, "A_PAGE", 2)
    for _ in range(2):
        case.another()
    assert "page=2" in show()
    assert "3 machines in all" in show(page=2)


def test_another_last_day_in_the_address_of_a_booking_stands_in_its_form(case, client):
    booking = case.booking()
    later = booking.last_day + timedelta(days=2)
    page = client.get(f"/counter/bookings/{booking.pk}/", {"last_day": later.isoformat()})
    assert f'value="{later}"' in page.content.decode()
    odd = client.get(f"/counter/bookings/{booking.pk}/", {"last_day": "soon"})
    assert f'value="{booking.last_day}"' in odd.content.decode()


@pytest.mark.parametrize("machines", [5, 40])
def test_queries_do_not_grow_with_the_fleet(case, show, machines, django_assert_max_num_queries):
    for _ in range(machines):
        machine = case.another()
        factories.Booking(machine=machine)
        consequences.Block(machine=machine)
    with django_assert_max_num_queries(16):
        show()
