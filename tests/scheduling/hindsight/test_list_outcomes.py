"""What became of entries of lists: each has one outcome, and a reason where it was not its day."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from scheduling.hindsight.list_entries import Deed, ListEntry, ListOutcome
from scheduling.hindsight.list_outcomes import MOVED, NO_REASON, DayCircumstances, judge

DAY = date(2026, 3, 4)
MORNING = datetime(2026, 3, 4, 2, tzinfo=UTC)
OIL = ListEntry(DAY, MORNING, 1, "Q-1", "m:1:5", "Oil change", 5, None, "Ada", 7, 60)
HOSE = replace(OIL, work_key="f:3", title="hose chafed", service=None, finding=3)


def done(days=0, services=(5,), **more):
    """The work, so many days after the day of the list, written down in the evening."""
    day = DAY + timedelta(days=days)
    entered = datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
    return Deed(9, 1, day, entered, frozenset(services), **more)


def judged(deeds, entry=OIL, circumstances=None):
    (found,) = judge([entry], deeds, circumstances or DayCircumstances())
    return found


@pytest.mark.parametrize(
    ("deeds", "outcome", "days_off"),
    [
        ([done()], ListOutcome.ON_DAY, 0),
        ([done(3)], ListOutcome.LATER, 3),
        ([done(), done(3)], ListOutcome.ON_DAY, 0),  # the first counts
        ([], ListOutcome.NOT_DONE, 0),
        ([done(46)], ListOutcome.NOT_DONE, 0),  # that is the next one
        ([done(45)], ListOutcome.LATER, 45),
        ([done(-2)], ListOutcome.NOT_DONE, 0),  # the list knew of it and asks for the next one
        ([done(services=(6,))], ListOutcome.NOT_DONE, 0),  # another service
        ([done(services=(6, 5))], ListOutcome.ON_DAY, 0),  # one that covers it
        ([replace(done(), machine=2)], ListOutcome.NOT_DONE, 0),
    ],
)
def test_outcome_of_a_service(deeds, outcome, days_off):
    found = judged(deeds)
    assert (found.outcome, found.days_off) == (outcome, days_off)


def test_work_that_the_book_was_told_of_after_the_list_was_made_was_done_earlier():
    late = replace(done(-2), entered=MORNING + timedelta(hours=6))
    assert judged([late]).outcome == ListOutcome.EARLIER
    assert judged([late]).why == "done before its day came"


def test_repair_is_done_when_its_finding_is_settled():
    assert judged([done(finding=3, services=())], HOSE).outcome == ListOutcome.ON_DAY
    assert judged([done(finding=4, services=())], HOSE).outcome == ListOutcome.NOT_DONE


@pytest.mark.parametrize(
    ("circumstances", "entry", "why"),
    [
        (DayCircumstances(), OIL, NO_REASON),
        (DayCircumstances(), replace(OIL, moved=True), MOVED),
        (DayCircumstances(closed={DAY: "stocktaking"}), OIL, "the shop was closed: stocktaking"),
        (DayCircumstances(closed={DAY: ""}), OIL, "the shop was closed"),
        (DayCircumstances(away=frozenset({(7, DAY)})), OIL, "Ada was away"),
        (DayCircumstances(away=frozenset({(8, DAY)})), OIL, NO_REASON),
        (DayCircumstances(out=frozenset({(1, DAY)})), OIL, "the machine was out on a booking"),
    ],
)
def test_why_work_was_not_done_on_its_day(circumstances, entry, why):
    found = judged([done(2)], entry, circumstances)
    assert (found.outcome, found.why) == (ListOutcome.LATER, why)


@pytest.mark.parametrize("deeds", [[], [done(2)]])
def test_what_a_person_said_comes_before_all_else(deeds):
    said = DayCircumstances({(OIL.work_key, DAY): "no filter"}, {DAY: "stocktaking"})
    found = judged(deeds, circumstances=said)
    assert (found.outcome, found.why) == (ListOutcome.PUT_OFF, "no filter")


def test_work_put_off_in_the_morning_and_done_in_the_evening_was_done_on_its_day():
    said = DayCircumstances({(OIL.work_key, DAY): "no filter"})
    assert judged([done()], circumstances=said).outcome == ListOutcome.ON_DAY
