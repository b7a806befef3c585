"""The list of machines: found, filtered, sorted, paged; its state in the address."""

import pytest
from django.urls import reverse

from scheduling.models import State
from tests import consequences, factories
from tests.factories import TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]


@pytest.fixture
def shop(client):
    return sign_in(client).shop


def page(client, query=""):
    return client.get(reverse("machines") + query)


def machine_in(shop, state=State.CLEAR, **facts):
    machine = factories.Machine(yard__shop=shop, **facts)
    point = consequences.DuePoint(
        machine=machine, state=state, meter_kind="hours", life_now=412.0, read_on=TODAY
    )
    consequences.MachineState(
        machine=machine, state=state, due_point=point, headline="due in 6 days", next_due=TODAY
    )
    return machine


def tags(response):
    return [row.record.tag for row in response.context["table"].paginated_rows]


def test_the_first_line_counts_the_machines_by_state(client, shop):
    machine_in(shop, State.HELD)
    machine_in(shop)
    machine_in(shop)
    assert answer(page(client)) == "3 machines: 1 held, 2 clear."


def test_a_machine_shows_its_state_in_words_its_kind_and_its_use(client, shop):
    machine_in(shop, State.DUE, tag="Q-7", makeup__machine_class__name="Quad")
    shown = words(page(client))
    assert "due Q-7 Quad, Tarnbeck" in shown
    assert "412.0 h" in shown
    assert "Mon 2 Mar, today" in shown


def test_the_worst_stand_first(client, shop):
    states = (State.CLEAR, State.OVERDUE, State.HELD, State.DUE)
    by_state = {state: machine_in(shop, state) for state in states}
    order = (State.HELD, State.OVERDUE, State.DUE, State.CLEAR)
    assert tags(page(client)) == [by_state[state].tag for state in order]


def test_choices_narrow_the_list(client, shop):
    lift = machine_in(shop, State.DUE, tag="L-1", serial="XYZ123")
    machine_in(shop, State.CLEAR, tag="Q-1")
    kind, yard = lift.makeup.machine_class_id, lift.yard_id
    for query in (
        f"?machine_class={kind}",
        f"?yard={yard}",
        "?state=due",
        "?text=l-1",
        "?text=xyz",
        f"?text={lift.makeup.model}+tarnbeck&state=due",
    ):
        assert tags(page(client, query)) == ["L-1"], query
    assert answer(page(client, "?state=due")) == "1 of 2 machines matches your filters."


def test_retired_machines_are_found_when_asked_for(client, shop):
    machine_in(shop, tag="OLD", retired_on=TODAY)
    machine_in(shop, tag="NEW")
    assert tags(page(client)) == ["NEW"]
    assert tags(page(client, "?state=retired")) == ["OLD"]


def test_machines_never_worked_out_are_shown_as_not_known(client, shop):
    factories.Machine(yard__shop=shop, tag="N-1")
    assert tags(page(client, "?state=unknown")) == ["N-1"]
    assert "not known N-1" in words(page(client))


def test_sorting_and_paging_keep_the_choices_in_the_address(client, shop):
    for _ in range(30):
        machine_in(shop)
    html = page(client, "?state=clear").content.decode()
    assert 'href="?state=clear&amp;sort=machine"' in html
    assert 'href="?state=clear&amp;page=2"' in html
    assert len(tags(page(client, "?state=clear&page=2"))) == 5
    sorted_page = page(client, "?state=clear&page=2&sort=-machine").content.decode()
    assert 'aria-sort="descending"' in sorted_page
    assert 'href="?state=clear&amp;sort=machine"' in sorted_page  # a new order begins at page 1


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("?state=exploded", "There is no such state; choose one from the list."),
        ("?yard=999999", "There is no such yard; choose one from the list."),
        ("?yard=abc", "There is no such yard; choose one from the list."),
        ("?machine_class=x", "There is no such class; choose one from the list."),
        ("?text=" + "a" * 99, "Search for at most 80 characters."),
    ],
)
def test_a_choice_that_is_not_there_is_said_and_does_not_narrow(client, shop, query, sentence):
    machine_in(shop, tag="M-1")
    response = page(client, query)
    assert sentence in words(response)
    assert tags(response) == ["M-1"]


@pytest.mark.parametrize(
    "query",
    [
        "?sort=nonsense",
        "?page=99",
        "?page=x",
        "?sort=yard",
        "?sort=-service",
        "?sort=next_due",
    ],
)
def test_odd_addresses_give_a_page(client, shop, query):
    machine_in(shop)
    assert page(client, query).status_code == 200


def test_a_character_that_no_text_has_is_a_bad_request(client, shop):
    machine_in(shop)
    assert page(client, "?text=%00").status_code == 400


def test_nothing_found_says_how_to_go_on(client, shop):
    machine_in(shop)
    assert "No machine matches." in words(page(client, "?text=zebra"))


def test_an_empty_fleet_says_what_to_do_first(client, shop):
    response = page(client)
    assert answer(response) == "No machine works here yet."
    assert reverse("set-up") in response.content.decode()


def test_yards_of_other_shops_cannot_be_chosen(client, shop):
    elsewhere = machine_in(factories.Shop())
    assert "There is no such yard" in words(page(client, f"?yard={elsewhere.yard_id}"))
    assert tags(page(client)) == []


@pytest.mark.parametrize("role", ["desk", "mechanic", "manager"])
def test_everyone_may_look_at_machines(client, role):
    sign_in(client, role)
    assert page(client).status_code == 200


def test_signed_out_it_asks_to_sign_in(client):
    assert page(client).url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("machines", [5, 40])
def test_the_number_of_queries_does_not_grow(client, shop, machines, django_assert_num_queries):
    for _ in range(machines):
        machine_in(shop)
    with django_assert_num_queries(9):
        page(client)
