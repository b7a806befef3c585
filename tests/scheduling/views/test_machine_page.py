"""A machine's own page.  Today is Monday 2 March 2026."""

from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Alteration, Fluid, RecordedMeter
from scheduling.due.refresh import refresh
from scheduling.models import State
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.pages import answer, at_noon, sign_in, words  # noqa: F401  at_noon is a fixture
from tests.scheduling.cases import serviced, steady

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_noon")]
DAY = timedelta(days=1)


@pytest.fixture
def machine(client):
    shop = sign_in(client).shop
    return factories.Machine(tag="Q-7", yard__shop=shop)


def page(client, tag="Q-7", query=""):
    return client.get(reverse("machine", args=[tag]) + query)


def stands(machine, state=State.DUE, **facts):
    point = consequences.DuePoint(machine=machine, state=state, meter_kind="hours", **facts)
    consequences.MachineState(
        machine=machine, state=state, due_point=point, headline="due in 6 days, 23 h left"
    )
    return point


def with_readings(machine, number=20):
    meter = factories.Meter(machine=machine)
    for back in range(number):
        factories.Reading(meter=meter, value=500 - 4 * back, read_at=NOON - 3 * back * DAY)
    return meter


def test_the_first_line_says_how_it_stands(client, machine):
    stands(machine)
    assert answer(page(client)) == "due in 6 days, 23 h left"


def test_a_machine_never_worked_out_says_so(client, machine):
    assert answer(page(client)).startswith("Not worked out yet: its due points come")


def test_a_service_shows_its_due_point_range_and_last_day(client, machine):
    stands(
        machine,
        State.COMING_DUE,
        due_life=1240.0,
        remaining=23.0,
        p10=TODAY + 3 * DAY,
        p50=TODAY + 6 * DAY,
        p90=TODAY + 15 * DAY,
        last_done_on=TODAY - 60 * DAY,
        why="4.1 h a day over the last 6 weeks",
    )
    shown = words(page(client))
    assert "at 1,240.0 h" in shown
    assert "23 h to go" in shown
    assert "Sun 8 Mar, in 6 days; between Thu 5 and Tue 17 Mar" in shown
    assert "Thu 1 Jan, 60 days ago" in shown
    assert "4.1 h a day over the last 6 weeks" in shown


def test_the_fan_of_its_meter_is_drawn_with_a_table(client, machine):
    with_readings(machine)
    html = page(client).content.decode()
    assert 'aria-labelledby="fan-hours-t fan-hours-d"' in html
    assert "Hour meter: past and to come" in html
    assert "The same as figures" in html


def test_the_book_shows_what_was_done_read_and_found(client, machine):
    meter = with_readings(machine, 1)
    record = factories.ServiceRecord(
        machine=machine, service__name="Oil change", minutes=75, cost=80, note="drain plug worn"
    )
    RecordedMeter.objects.create(record=record, meter=meter, value=498.5)
    factories.Finding(machine=machine, seen_during=record, text="hose chafed")
    shown = words(page(client))
    assert "Oil change drain plug worn" in shown
    assert "498.5 h" in shown
    assert "1 h 15 min $80.00" in shown
    assert "Found: hose chafed (defect)" in shown


def test_a_corrected_record_stays_readable_and_says_so(client, machine):
    wrong = factories.ServiceRecord(machine=machine, service__name="Greasing")
    factories.ServiceRecord(machine=machine, corrects=wrong, void=True)
    html = page(client).content.decode()
    assert "<s>Greasing</s>" in html
    assert "struck out: not done after all" in html


def test_blocks_holds_findings_alterations_and_bookings_are_there(client, machine):
    hold = factories.Hold(machine=machine, reason="brakes pull", placed_by__first_name="Ana")
    consequences.Block(machine=machine, kind="hold", hold=hold, hard=True, due_point=None)
    factories.Finding(machine=machine, text="lamp broken")
    Alteration.objects.create(
        machine=machine,
        text="guard welded on",
        extra_minutes=20,
        slows=factories.Service(name="Oil change"),
    )
    factories.Booking(machine=machine, customer="Alder Creek")
    shown = words(page(client))
    for sentence in (
        "Held by Ana since Mon 2 Mar: brakes pull.",
        "nobody can override this",
        "brakes pull",
        "lamp broken",
        "guard welded on",
        "makes Oil change 20 min longer",
        "Alder Creek",
    ):
        assert sentence in shown


def test_identity_warns_of_a_serial_that_fails_its_check_or_cannot_be_read(client, machine):
    machine.serial, machine.serial_unreadable = "1M8GDM9AXKP042789", True
    machine.makeup.machine_class.road_vehicle = True
    machine.makeup.machine_class.save()
    machine.save()
    shown = words(page(client))
    assert "The number on the frame can no longer be read." in shown
    assert "49 CFR 565" in shown


def test_the_make_up_shows_fluids_in_the_yards_units(client, machine):
    Fluid.objects.create(
        makeup=machine.makeup, place="engine oil", grade="15W-40", capacity_ml=3312.235
    )
    assert "Engine oil 3.5 qt, 15W-40" in words(page(client))


def test_the_planned_day_and_the_reason_are_there(client, machine):
    point = stands(machine)
    job = consequences.PlannedJob(machine=machine, day=TODAY + DAY, minutes=100)
    consequences.PlannedWork(
        job=job, service=point.service, work_key=point.work_key, why="before it goes out"
    )
    shown = words(page(client))
    assert "In the shop Tue 3 Mar, tomorrow" in shown
    assert "before it goes out" in shown
    job.last_day = TODAY + 2 * DAY
    job.save()
    assert "In the shop Tue 3 Mar, tomorrow, until Wed 4 Mar" in words(page(client))


def test_it_says_that_the_manual_local_codes_and_licensed_practice_come_first(client, machine):
    assert "First: the machine's own manual, local codes and licensed practice." in words(
        page(client)
    )


def test_services_of_the_demo_are_marked_as_invented(client, machine):
    point = stands(machine)
    assert "never use them on a real machine" not in words(page(client))
    point.service.invented = True
    point.service.save()
    assert "never use them on a real machine" in words(page(client))


def test_an_empty_machine_says_what_is_missing(client, machine):
    shown = words(page(client))
    for sentence in (
        "No service falls due on this machine.",
        "The book is empty so far.",
        "It has no meter",
        "No bookings yet.",
    ):
        assert sentence in shown


def test_the_whole_book_is_shown_when_asked_for(client, machine):
    for _ in range(25):
        factories.ServiceRecord(machine=machine)
    assert "Show all 25 entries" in words(page(client))
    assert len(page(client, query="?book=all").context["history"].book) == 25
    assert page(client, query="?book=nonsense").status_code == 200


@pytest.mark.parametrize("tag", ["NOPE", "Q 7", "a/b/c", "Q-7x"])
def test_a_machine_that_is_not_there_is_said_by_its_tag(client, machine, tag):
    response = page(client, tag)
    assert response.status_code == 404
    assert f"There is no machine {tag} in your yards." in words(response)


def test_a_machine_of_another_shop_is_not_shown(client, machine):
    elsewhere = factories.Machine()
    assert page(client, elsewhere.tag).status_code == 404


def test_a_retired_machine_keeps_its_history(client, machine):
    machine.retired_on = TODAY
    machine.save()
    assert answer(page(client)) == "Retired Mon 2 Mar, today."


@pytest.mark.parametrize("role", ["desk", "mechanic"])
def test_everyone_of_the_shop_may_look(client, machine, role):
    sign_in(client, role, machine.yard.shop)
    assert page(client).status_code == 200


def test_signed_out_it_asks_to_sign_in(client):
    factories.Machine(tag="Q-7")
    assert page(client).url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("rows", [2, 15])
def test_the_number_of_queries_does_not_grow(client, machine, rows, django_assert_num_queries):
    with_readings(machine)
    stands(machine)
    for n in range(rows):
        consequences.DuePoint(machine=machine)
        factories.ServiceRecord(machine=machine, done_by=factories.Person())
        factories.Finding(machine=machine, seen_by=factories.Person())
        day = TODAY + n * DAY
        factories.Booking(machine=machine, first_day=day, last_day=day)
        consequences.Block(machine=machine)
    for _ in range(rows):  # more machines of the same shop
        factories.Machine(yard=machine.yard)
    refresh(None, NOON, shop=machine.yard.shop, refit=True)  # the fan asks what the fleet taught
    with django_assert_num_queries(43):
        page(client)


def served(machine):
    """A machine at 4 h a day with a service of 100 h done 15 days ago."""
    steady(machine, every=1)
    rule = factories.Interval(makeup=machine.makeup, service__name="Oil change")
    serviced(machine, rule.service, 15)
    refresh(None, NOON, shop=machine.yard.shop, refit=True)


def test_the_chance_of_each_due_point_is_told_for_some_days(client, machine):
    served(machine)
    shown = words(page(client))
    assert "Chance of reaching the due point" in shown
    assert "Mon 9 Mar in 7 days" in shown


def test_the_chance_is_told_for_a_day_that_is_asked_for(client, machine):
    served(machine)
    found = page(client, query="?by=2026-03-12")
    assert found.context["outlook"].chances.days[0] == TODAY + 10 * DAY
    assert "Thu 12 Mar in 10 days" in words(found)


def test_a_day_that_cannot_be_told_is_refused_and_the_page_is_there(client, machine):
    served(machine)
    found = page(client, query="?by=2020-01-01")
    assert found.status_code == 200
    assert "Choose a day from today to Tue 30 Jun" in words(found)


def test_seasons_that_are_counted_in_are_named_under_the_fan(client, machine):
    served(machine)
    factories.SeasonWeight(reason="haying", weight=2.5, first_month=6, first_day=12)
    assert "Counted in: haying, 12 Jun to 31 Dec: 2.5 times the usual use." in words(page(client))
