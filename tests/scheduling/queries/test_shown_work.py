"""A pin is called kept only where its work stands where it is pinned."""

from datetime import timedelta

import pytest

from fleet.models import Person, Pin
from scheduling.models import Plan, PlannedJob, PlannedWork
from scheduling.queries.shown_work import ShownJob, ShownWork
from tests.factories import TODAY

JO, BO = Person(pk=1, first_name="Jo"), Person(pk=2, first_name="Bo")
DAY = timedelta(days=1)
JOB = PlannedJob(plan=Plan(first_day=TODAY), day=TODAY, mechanic=JO)


def shown(pin=None, *, unkept="", done=False):
    return ShownWork(PlannedWork(unkept=unkept), done, pin, JOB)


@pytest.mark.parametrize(
    ("pin", "says", "wants"),
    [
        (None, "", ""),
        (Pin(day=TODAY), "pinned", ""),
        (Pin(day=TODAY, mechanic=JO), "pinned", ""),
        (Pin(day=TODAY, mechanic=BO), "pin not kept", "Pinned to Mon 2 Mar with Bo; "),
        (
            Pin(day=TODAY + DAY),
            "pin not kept",
            "Pinned to Tue 3 Mar; the plan has not been made again",
        ),
        (Pin(day=TODAY - DAY), "pin not kept", "Pinned to Sun 1 Mar: that day has gone by."),
    ],
)
def test_pin_is_said_as_it_stands(pin, says, wants):
    work = shown(pin)
    assert work.pin_says == says
    assert work.pin_wants.startswith(wants)
    assert bool(work.pin_wants) == bool(wants)


def test_pin_that_cannot_be_kept_is_not_called_pinned():
    work = shown(Pin(day=TODAY + DAY), unkept="pin on Tue 3 Mar cannot be kept; shut.")
    assert not work.kept
    assert work.pin_wants == "Pinned to Tue 3 Mar, but it is not there."


def test_job_is_pinned_while_any_open_work_of_it_is():
    pinned, free, done = shown(Pin(day=TODAY)), shown(), shown(Pin(day=TODAY), done=True)
    assert ShownJob(JOB, [pinned, free], TODAY).pinned
    assert not ShownJob(JOB, [free, done], TODAY).pinned
    assert ShownJob(JOB, [free, done], TODAY).open_work == [free]


@pytest.mark.parametrize(
    ("days", "done", "movable"), [(0, False, True), (1, False, False), (0, True, False)]
)
def test_job_is_moved_from_its_first_day_while_some_of_it_is_left(days, done, movable):
    assert ShownJob(JOB, [shown(done=done)], TODAY + days * DAY).movable == movable
