"""The counter's question asked of the database, with as many queries for 40 machines as for 5."""

from datetime import timedelta

import pytest

from fleet.actions.hand_over import WalkRound, check_out
from fleet.models import Machine, Person
from scheduling.availability.counter_facts import Days
from scheduling.models import Block
from scheduling.queries.may_go_out import may_go_out, which_may
from tests import consequences, factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
FIRST, LAST = TODAY + timedelta(days=3), TODAY + timedelta(days=6)


@pytest.fixture
def makeup():
    return factories.MakeUp()


@pytest.fixture
def yard():
    return factories.Yard()


@pytest.fixture
def clear(makeup, yard):
    """Make a clear machine of the class."""

    def make(**more):
        machine = factories.Machine(makeup=makeup, yard=yard, **more)
        consequences.MachineState(machine=machine)
        return machine

    return make


def ask(machine, **more):
    return may_go_out(machine, FIRST, LAST, TODAY, **more)


def test_a_clear_machine_may_go_out(clear):
    assert ask(clear()).yes


def test_a_promised_one_may_not_and_another_is_named(clear):
    booking, other = factories.Booking(machine=clear()), clear()
    answer = ask(booking.machine)
    assert not answer.yes
    assert answer.instead == other
    assert ask(booking.machine, but=booking).yes


def test_called_off_and_brought_back_bookings_do_not_count(clear):
    machine = clear()
    factories.Booking(machine=machine, cancelled_at=NOON)
    assert ask(machine).yes


def test_a_machine_still_out_past_its_day_may_not_go_today(clear):
    machine = clear()
    past = TODAY - timedelta(days=2)
    booking = factories.Booking(machine=machine, first_day=past, last_day=past)
    check_out(booking, WalkRound(), by=None, now=NOON - timedelta(days=2))
    assert "still out with" in may_go_out(machine, TODAY, LAST, TODAY).sentence


def test_a_past_block_is_over(clear):
    machine = clear()
    consequences.Block(machine=machine, last_day=TODAY - timedelta(days=1))
    assert ask(machine).yes


def test_a_planned_shop_day_is_known(clear):
    machine = clear()
    point = consequences.DuePoint(machine=machine, p50=LAST)
    job = consequences.PlannedJob(machine=machine, day=TODAY + timedelta(days=1))
    consequences.PlannedWork(job=job, service=point.service, due_point=point)
    assert ask(machine).until == job.day


def test_all_machines_of_a_class_are_answered_those_of_others_are_not(clear, makeup):
    free, held = clear(), clear()
    consequences.Block(machine=held, kind=Block.Kind.HOLD, hard=True, due_point=None)
    consequences.MachineState()
    answers = which_may(makeup.machine_class, Days(FIRST, LAST), TODAY)
    assert [one.machine for one in answers] == [free, held]
    assert answers[1].instead == free


def test_retired_machines_and_those_of_other_yards_and_shops_are_left_away(clear, makeup, yard):
    here = clear()
    clear(retired_on=TODAY)
    elsewhere = factories.Machine(makeup=makeup)
    days = Days(FIRST, LAST)
    ours = Machine.objects.filter(yard__shop=yard.shop)
    for narrowed in ({"among": ours}, {"yard": yard}):
        answers = which_may(makeup.machine_class, days, TODAY, **narrowed)
        assert [one.machine for one in answers] == [here]
    assert ask(elsewhere).instead is None


def test_a_class_without_machines_has_no_answers(makeup):
    assert which_may(makeup.machine_class, Days(FIRST, LAST), TODAY) == []


@pytest.mark.parametrize("machines", [5, 40])
def test_seven_queries_however_many_machines(clear, makeup, machines, django_assert_num_queries):
    person = Person.objects.first() or factories.Person()
    for _ in range(machines):
        machine = clear()
        point = consequences.DuePoint(machine=machine, p50=LAST)
        consequences.Block(machine=machine, due_point=point)
        factories.Booking(machine=machine, made_by=person)
        factories.Finding(machine=machine)
    with django_assert_num_queries(7):
        answers = which_may(makeup.machine_class, Days(FIRST, LAST), TODAY)
        assert all(one.sentence and one.room for one in answers)
    assert len(answers) == machines
