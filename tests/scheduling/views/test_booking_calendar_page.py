"""The calendar page: what is shown stands in the address."""

from datetime import timedelta

import pytest

from scheduling.queries.may_go_out import may_go_out
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


def test_four_weeks_from_today_with_a_table_and_a_list(case, show):
    booking = case.booking()
    text = show()
    assert "Q-1" in text
    assert text.count(booking.customer) == 3  # in the table with its title, and in the list
    assert 'scope="colgroup"' in text
    assert text.count('<th scope="col" class="cal-day') == 28


@pytest.mark.parametrize("weeks", [3, 5])
def test_three_or_five_weeks(show, weeks):
    assert show(weeks=weeks).count('<th scope="col" class="cal-day') == 7 * weeks


def test_blocks_are_told_by_word_and_sentence(case, show):
    consequences.Block(machine=case.machine)
    text = show()
    assert "overdue" in text
    (told,) = may_go_out(case.machine, TODAY, TODAY, TODAY).told
    assert told in text


def test_class_and_yard_narrow_it(case, show):
    other = factories.Machine(yard=case.machine.yard)
    assert other.tag in show()
    assert other.tag not in show(machine_class=case.machine.makeup.machine_class_id)
    assert other.tag in show(yard=case.machine.yard_id)


def test_earlier_and_later_keep_the_choices(case, show):
    kind = case.machine.makeup.machine_class_id
    text = show(machine_class=kind)
    later = (TODAY + timedelta(days=28)).isoformat()
    assert f"?machine_class={kind}&amp;first_day={later}" in text


BAD = [
    ({"weeks": "9"}, "Choose 3, 4 or 5 weeks."),
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


def test_a_page_holds_25_machines_and_leads_to_the_next(case, show):
    for _ in range(26):
        case.another()
    assert "page=2" in show()
    assert "27 machines in all" in show(page=2)


@pytest.mark.parametrize("machines", [5, 40])
def test_queries_do_not_grow_with_the_fleet(case, show, machines, django_assert_max_num_queries):
    for _ in range(machines):
        machine = case.another()
        factories.Booking(machine=machine)
        consequences.Block(machine=machine)
    with django_assert_max_num_queries(14):
        show()
