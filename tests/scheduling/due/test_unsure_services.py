"""A service of which nobody knows when it was last done is due at once, and says so."""

from datetime import date, timedelta

import pytest

from fleet.models import LastDoneAnswer
from scheduling.due.refresh import refresh
from scheduling.models import State
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

ANSWERS = LastDoneAnswer.Answer


@pytest.fixture
def machine():
    """30 h on the meter; a service every 100 h from the start, so 70 h to go."""
    machine = factories.Machine(started_on=date(2026, 1, 1))
    meter = factories.Meter(machine=machine, fitted_at=NOON - timedelta(days=60))
    factories.Reading(meter=meter, value=30.0)
    factories.Interval(makeup=machine.makeup, service__name="Oil change")
    return machine


def say(machine, answer, at=NOON):
    service = machine.makeup.intervals.get().service
    LastDoneAnswer.objects.create(machine=machine, service=service, answer=answer, said_at=at)


def due(machine, now=NOON):
    refresh([machine.pk], now)
    return machine.due_points.get()


def test_not_known_is_due_at_once_and_tells_why(machine):
    assert due(machine).state == State.CLEAR
    say(machine, ANSWERS.UNKNOWN)
    point = due(machine)
    assert point.state == State.DUE
    assert point.why == "Nobody knows when it was last done, so look at it first: due at once"
    machine.now.refresh_from_db()
    assert machine.now.headline.startswith("Oil change due now: nobody knows")


def test_never_counts_from_the_start(machine):
    say(machine, ANSWERS.NEVER)
    assert (due(machine).state, due(machine).due_life) == (State.CLEAR, 100.0)


def test_the_last_answer_holds(machine):
    say(machine, ANSWERS.UNKNOWN)
    say(machine, ANSWERS.NEVER, NOON + timedelta(hours=1))
    assert due(machine, NOON).state == State.DUE  # what is said later is not known yet
    assert due(machine, NOON + timedelta(hours=2)).state == State.CLEAR


def test_once_it_is_done_the_book_speaks(machine):
    say(machine, ANSWERS.UNKNOWN)
    factories.ServiceRecord(machine=machine, service=machine.makeup.intervals.get().service)
    point = due(machine)
    assert (point.state, point.due_life, point.never_done) == (State.CLEAR, 130.0, False)


def test_many_machines_at_once_are_read_as_one_is(machine):
    """One machine's queries are compiled, those of many are not."""
    other = factories.Machine(yard=machine.yard, makeup=machine.makeup)
    say(machine, ANSWERS.UNKNOWN)
    refresh([machine.pk, other.pk], NOON)
    assert machine.due_points.get().state == State.DUE
    assert "Nobody knows" not in other.due_points.get().why


def test_a_season_alone_is_due_at_once_too():
    machine = factories.Machine(started_on=date(2020, 1, 1))
    factories.Interval(
        makeup=machine.makeup, meter_kind="", every=None, season_month=11, season_day=15
    )
    say(machine, ANSWERS.UNKNOWN)
    assert due(machine).state == State.DUE
