"""The manager's morning summary."""

from datetime import timedelta

import pytest

from scheduling.models import Block, Notice, State
from scheduling.notices.morning import LONGEST_LIST, make_morning, write_morning
from tests import consequences, factories
from tests.factories import NOON, TODAY


@pytest.fixture
def states(shop, machine, booking, manager):
    """One machine overdue, one held, one booking at risk."""
    make_overdue(machine)
    held = factories.Machine(tag="TR-01", yard=machine.yard)
    consequences.MachineState(machine=held, state=State.HELD, headline="brakes pull to the left")
    consequences.Block(
        machine=machine, kind=Block.Kind.OVERDUE, due_point__service__name="Track: check"
    )


def make_overdue(machine):
    """Its engine oil is 12 h past, of an interval of 100 h."""
    interval = factories.Interval(makeup=machine.makeup, service__name="Engine oil")
    consequences.MachineState(machine=machine, state=State.OVERDUE)
    return consequences.DuePoint(
        machine=machine, service=interval.service, interval=interval, state=State.OVERDUE,
        meter_kind="hours", remaining=-12.0,
    )  # fmt: skip


def test_it_says_the_day_in_a_sentence_then_each_machine(shop, states):
    letter = write_morning(shop, TODAY)
    assert letter.subject == (
        "Cold Fork, Mon 2 Mar: 1 machine overdue, 1 held and 1 booking at risk this week"
    )
    for said in (
        "[!!] overdue: SL-04",
        "Engine oil overdue: 12 h; no shop day yet",
        "[HELD] held: TR-01",
        "brakes pull to the left",
        "Thu 5 Mar, Alder Creek fencing: Track: check overdue: it may not go out",
        "http://127.0.0.1:8000/machines/TR-01",
    ):
        assert said in letter.text
    for shape in ("\N{BLACK SQUARE}", "\N{OCTAGONAL SIGN}"):
        assert shape in letter.html
    assert "http://127.0.0.1:8000/machines/SL-04" in letter.html


def test_a_quiet_morning_says_so(shop, machine):
    consequences.MachineState(machine=machine)
    assert "nothing overdue, held or at risk" in write_morning(shop, TODAY).subject


def test_work_is_set_against_the_hours_of_the_shop(shop, machine, mechanic):
    plan = consequences.Plan(shop=shop)
    consequences.PlannedJob(plan=plan, machine=machine, mechanic=mechanic, minutes=600)
    assert "10 h of work planned in the next 7 days, of 40 h to work." in (
        write_morning(shop, TODAY).text
    )


def test_more_work_than_hours_is_said(shop, machine, mechanic):
    mechanic.working_hours.filter(weekday__gt=0).delete()
    plan = consequences.Plan(shop=shop)
    consequences.PlannedJob(plan=plan, machine=machine, mechanic=mechanic, minutes=600)
    assert "of 8 h to work. More than there is" in write_morning(shop, TODAY).text


def test_a_shop_without_hours_is_told_so(shop, machine):
    assert "nobody has working hours then" in write_morning(shop, TODAY).text


def test_what_is_missing_is_named(shop, machine):
    consequences.MachineState(machine=machine, state=State.UNKNOWN, missing="no reading yet")
    consequences.Plan(shop=shop, missing="No mechanic has working hours.")
    text = write_morning(shop, TODAY).text
    assert "1 machine lack " not in text
    assert "1 machine lacks something" in text
    assert "No mechanic has working hours." in text


def test_a_machine_stands_on_one_line_with_the_worst_of_its_services(shop, machine):
    first = make_overdue(machine)
    consequences.DuePoint(
        machine=machine, service__name="Air filter", interval=first.interval,
        state=State.OVERDUE, meter_kind="hours", remaining=-90.0,
    )  # fmt: skip
    text = write_morning(shop, TODAY).text
    assert "Air filter overdue: 90 h" in text
    assert "Engine oil overdue" not in text


def test_a_long_list_is_cut_and_the_rest_counted(shop, machine):
    for _ in range(LONGEST_LIST + 3):
        make_overdue(factories.Machine(yard=machine.yard))
    letter = write_morning(shop, TODAY)
    assert letter.text.count("[!!] overdue") == LONGEST_LIST
    assert "and 3 more on the Yard page" in letter.text


def test_each_manager_gets_one_a_day(shop, states, manager):
    second = factories.Person(shop=shop)
    assert make_morning(shop, NOON, TODAY) == 2
    assert make_morning(shop, NOON, TODAY) == 0
    assert make_morning(shop, NOON, TODAY + timedelta(days=1)) == 2
    assert set(Notice.objects.values_list("person", flat=True)) == {manager.pk, second.pk}


def test_a_shop_without_machines_has_no_morning(shop, manager):
    assert make_morning(shop, NOON, TODAY) == 0


def test_queries_do_not_grow_with_the_fleet(shop, states, django_assert_max_num_queries):
    for _ in range(10):
        each = factories.Machine(yard=shop.yards.get())
        make_overdue(each)
        factories.Booking(machine=each)
        consequences.Block(machine=each)
    with django_assert_max_num_queries(25):
        write_morning(shop, TODAY)
