"""Services done in time, from facts to months.  Today is Monday 2 March 2026."""

from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.charts import MonthShare
from scheduling.hindsight.service_compliance import OnTimeYear, last_months, measure_compliance
from scheduling.models import NightlyRun
from scheduling.queries.services_on_time import as_counts, compliance, counted_since
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


def done(machine, interval, day):
    at = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    factories.ServiceRecord(machine=machine, service=interval.service, done_at=at)


def monthly():
    """A machine with a service every 30 days, up to 5 late, first done on 1 December 2025."""
    machine = factories.Machine(started_on=date(2020, 1, 1))
    interval = factories.Interval(
        makeup=machine.makeup, meter_kind="", every=None, every_days=30, late_days=5
    )
    done(machine, interval, date(2025, 12, 1))
    return machine, interval


def test_twelve_months_end_with_this_one():
    months = last_months(TODAY)
    assert (months[0], months[-1], len(months)) == (date(2025, 4, 1), date(2026, 3, 1), 12)


def test_each_service_is_judged_and_counted_in_its_month():
    machine, interval = monthly()
    done(machine, interval, date(2025, 12, 31))  # on its day
    done(machine, interval, date(2026, 2, 10))  # due 30 January, window closed 4 February
    year = measure_compliance(machine.yard.shop, NOON)
    months = {m.month: m for m in year.months}
    assert year.since == date(2025, 12, 31)
    assert months[date(2025, 12, 1)] == MonthShare(date(2025, 12, 1), 1, 1)
    assert months[date(2026, 2, 1)] == MonthShare(date(2026, 2, 1), 0, 1)


def test_what_was_done_to_another_shops_machine_does_not_count():
    machine, interval = monthly()
    done(machine, interval, date(2025, 12, 31))
    assert not any(m.done for m in measure_compliance(factories.Shop(), NOON).months)


def test_what_is_put_in_as_the_first_entry_never_counts_as_late():
    """Five years after the machine's start, as a newcomer's book begins."""
    machine, _ = monthly()
    year = measure_compliance(machine.yard.shop, NOON)
    assert (sum(m.done for m in year.months), year.since) == (0, None)


def test_the_page_reads_what_the_nightly_run_kept():
    shop = factories.Shop()
    kept = as_counts(OnTimeYear([MonthShare(date(2026, 2, 1), 3, 4)], date(2026, 2, 3)))
    NightlyRun.objects.create(
        shop=shop,
        day=TODAY,
        started_at=NOON,
        finished_at=NOON,
        report={"stages": {"compliance": kept}},
    )
    assert counted_since(NightlyRun.objects.get()) == date(2026, 2, 3)
    months = compliance(shop, NOON, NightlyRun.objects.get())
    assert months[-2] == MonthShare(date(2026, 2, 1), 3, 4)
    assert months[-1].done == 0


def test_without_a_nightly_run_nothing_is_counted():
    shop = factories.Shop()
    assert sum(m.done for m in compliance(shop, NOON + timedelta(days=1), None)) == 0
