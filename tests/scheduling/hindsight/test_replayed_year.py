"""A small shop's months lived again, and what is refused for want of facts."""

from dataclasses import replace
from datetime import timedelta

import pytest

from fleet.models import Booking, HandOver, Reading, ServiceRecord, WorkingHours
from fleet.refusal import Refusal
from scheduling.hindsight.past_loading import load_past
from scheduling.hindsight.replayed_year import Stopped, relive
from scheduling.hindsight.too_thin import refuse_thin, span_of
from scheduling.wording.hindsight_words import (
    hindsight_assumed,
    hindsight_lines,
    hindsight_rows,
    hindsight_sentence,
)
from tests import factories as make
from tests.scheduling.hindsight.past_case import FIRST, LAST, NOW, ago, made_past

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return made_past()


def loaded(shop):
    return load_past(shop, FIRST, LAST, NOW)


def test_plans_of_a_shop_that_was_always_late_would_have_had_fewer_overdue_days(shop):
    """By the book each of four machines is some days past its window time after time."""
    result = relive(first_nights(loaded(shop), 60), seeds=1)
    assert result["was"]["overdue_days"] > 40
    assert result["plans"]["overdue_days"]["high"] < 0.3 * result["was"]["overdue_days"]
    assert result["was"]["bookings"] >= result["plans"]["bookings"]["high"]
    rows = {row.name: row for row in hindsight_rows(result)}
    assert rows["put_off"].was == ""
    says = hindsight_sentence(result, FIRST, LAST)
    assert f"the shop had {result['was']['overdue_days']:.0f} overdue machine-days" in says
    assert len(hindsight_lines(list(rows.values()))) == len(rows) + 1


def test_it_can_be_stopped_between_two_nights(shop):
    told = []

    def tell(night, nights):
        told.append((night, nights))
        return night < 2

    with pytest.raises(Stopped):
        relive(loaded(shop), seeds=1, tell=tell)
    assert told == [(0, 120), (1, 120), (2, 120)]


def test_without_a_service_in_the_book_there_is_no_past(shop):
    ServiceRecord.objects.update(void=True)
    with pytest.raises(Refusal, match="no past to live through again"):
        span_of(shop, NOW, None, None)


def test_a_short_past_is_refused_with_the_day_it_begins(shop):
    Reading.objects.filter(read_at__lt=ago(50)).delete()
    with pytest.raises(Refusal, match="These are 49 days"):
        span_of(shop, NOW, None, None)


def test_days_before_the_book_begins_are_refused(shop):
    with pytest.raises(Refusal, match="on record from"):
        span_of(shop, NOW, FIRST - timedelta(days=300), None)


def test_a_handful_of_services_says_nothing(shop):
    kept = ServiceRecord.objects.values_list("pk", flat=True)[:4]
    ServiceRecord.objects.exclude(pk__in=list(kept)).update(void=True)
    with pytest.raises(Refusal, match="at least 10 are needed"):
        refuse_thin(loaded(shop))


def test_a_shop_where_nobody_works_could_not_have_planned(shop):
    for number in range(12):  # enough services
        machine = make.Machine(yard=shop.yards.first(), makeup=make.MakeUp())
        service = make.Interval(makeup=machine.makeup, meter_kind="", every=None,
                                every_days=30).service  # fmt: skip
        make.ServiceRecord(machine=machine, service=service, done_at=ago(number + 20))
    WorkingHours.objects.all().delete()
    with pytest.raises(Refusal, match="working hours"):
        refuse_thin(loaded(shop))


def test_what_cannot_be_told_has_no_row_and_says_why(shop):
    HandOver.objects.all().delete()
    Booking.objects.all().delete()
    ServiceRecord.objects.update(minutes=None)
    past = loaded(shop)
    result = relive(first_nights(past, 3), seeds=1)
    assert set(result["cannot_tell"]) == {"overtime", "bookings"}
    assert not {"overtime", "bookings"} & {row.name for row in hindsight_rows(result)}
    assert set(result["cannot_tell"].values()) < set(hindsight_assumed(result))


def first_nights(past, nights):
    """Return the first nights alone."""
    return replace(past, past=replace(past.past, nights=nights))
