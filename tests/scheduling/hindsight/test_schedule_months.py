"""Lists, book and put-offs of a shop judged together, and added up by month."""

from datetime import date

import pytest

from fleet.models import Absence, PutOff
from scheduling.hindsight.list_entries import ListOutcome
from scheduling.hindsight.schedule_months import (
    MonthOfLists,
    measure_schedule_compliance,
    month_end,
    month_of,
    schedule_compliance,
)
from tests import factories
from tests.factories import NOON
from tests.scheduling.hindsight.list_case import ListCase

pytestmark = pytest.mark.django_db


@pytest.fixture
def case():
    return ListCase()


def found(case, first=0, last=6):
    return schedule_compliance(case.shop, case.day(first), case.day(last))


def test_days_off_and_reasons_come_from_the_facts(case):
    case.keep(1)
    case.keep(2)
    case.did(2)
    PutOff.objects.create(
        machine=case.machine, work_key=case.key, day=case.day(1), reason="no filter",
        by=case.mechanic, at=case.at(1, 11),
    )  # fmt: skip
    first, second = found(case).judged
    assert (first.outcome, first.why, first.done_on) == (
        ListOutcome.PUT_OFF, "no filter", case.day(2),
    )  # fmt: skip
    assert second.outcome == ListOutcome.ON_DAY


def test_absence_and_booking_explain_a_day(case):
    case.keep(1)
    Absence.objects.create(person=case.mechanic, first_day=case.day(1), last_day=case.day(2))
    assert found(case).judged[0].why == "Jo was away"
    Absence.objects.all().delete()
    factories.Booking(machine=case.machine, first_day=case.day(-9), last_day=case.day(1))
    assert found(case).judged[0].why == "the machine was out on a booking"


def test_record_struck_out_is_no_work_done(case):
    case.keep(1)
    record = case.did(1)
    case.did(1, corrects=record, void=True, hour=11)
    assert found(case).judged[0].outcome == ListOutcome.NOT_DONE


def test_work_on_no_list_is_counted_beside(case):
    case.keep(1)
    case.did(1)
    grease = factories.Service(code="grease")
    beside = case.did(1, service=grease)
    assert [deed.pk for deed in found(case).beside] == [beside.pk]


def test_work_done_late_is_not_beside_the_lists(case):
    case.keep(-20, case.row())
    case.keep(1, case.row(work_key="f:2", service=factories.Service()))
    case.did(1)
    assert found(case).beside == []


def test_work_on_days_without_a_list_is_not_judged(case):
    case.did(1)
    assert found(case).beside == []


def test_month_adds_up_pieces_and_minutes(case):
    for day in (1, 2, 3):
        case.keep(day)
    case.did(2)
    case.did(4, service=None, minutes=None)
    month = month_of(date(2026, 3, 1), found(case))
    assert month.outcomes == {"later": 1, "on_day": 1, "not_done": 1}
    assert (month.listed, month.share) == (3, pytest.approx(1 / 3))
    assert (month.planned, month.worked, month.records, month.timed) == (180, 75, 2, 1)
    assert (month.days, month.there, month.booked) == (3, 1440, 270)


def test_twelve_months_end_yesterday(case):
    case.keep(-1)
    case.keep(0)
    months = measure_schedule_compliance(case.shop, NOON)
    assert [month.listed for month in months] == [0] * 11 + [1]  # 1 March; today is not over
    assert months[0].first == date(2025, 4, 1)


def test_figures_come_back_from_the_nightly_report_as_they_were(case):
    case.keep(1)
    month = month_of(date(2026, 3, 1), found(case))
    assert MonthOfLists.from_counts(month.as_counts()) == month


def test_month_without_lists_has_no_share():
    assert MonthOfLists(date(2026, 3, 1)).share is None


@pytest.mark.parametrize(
    ("first", "last"), [((2026, 2), 28), ((2028, 2), 29), ((2026, 12), 31), ((2026, 4), 30)]
)
def test_end_of_a_month(first, last):
    assert month_end(date(*first, 1)) == date(*first, last)


def test_number_of_queries_does_not_grow(case, django_assert_num_queries):
    case.keep(1)
    with django_assert_num_queries(14) as one:
        found(case)
    for _ in range(5):
        machine = factories.Machine(yard__shop=case.shop)
        factories.ServiceRecord(machine=machine, service=case.oil, done_at=case.at(1, 9))
        factories.Booking(machine=machine, first_day=case.day(1), last_day=case.day(2))
    case.keep(2)
    with django_assert_num_queries(len(one)):
        found(case)


def test_the_past_that_comes_in_later_is_not_held_against_a_list(case):
    """On the list of day 1 as never done; then the book is told that it was done on day -40."""
    case.keep(1)
    assert found(case).judged[0].outcome == ListOutcome.NOT_DONE
    case.did(-40, entered_at=case.at(3, 9))
    assert found(case).judged == []


def test_a_first_entry_put_in_later_never_counts_as_late(case):
    case.keep(1)
    case.did(2, entered_at=case.at(4, 9))
    assert found(case).judged == []


def test_a_first_entry_of_the_day_itself_counts_as_ever(case):
    case.keep(1)
    case.did(2)
    assert found(case).judged[0].outcome == ListOutcome.LATER


def test_a_second_entry_put_in_later_counts_as_ever(case):
    case.did(-40)
    case.keep(1)
    case.did(2, entered_at=case.at(4, 9))
    assert found(case).judged[0].outcome == ListOutcome.LATER
