"""What drives a line and when chance speaks, on the cases of one small shop."""

import numpy as np
import pytest

from scheduling.core.intervals import DueState
from scheduling.due.consequences import work_out
from scheduling.due.learning import learn
from scheduling.due.meter_use import kind_use
from scheduling.facts.load_facts import load_facts
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, ago, serviced, steady

pytestmark = pytest.mark.django_db


def outcome_of(machine):
    facts = load_facts(Scope(machine.yard.shop_id), NOW)
    use = facts.use
    return work_out(
        facts, {kind: kind_use(use, m, learn(use, m)) for kind, m in use.meters.items()}
    )


@pytest.mark.parametrize(
    ("interval", "driver"),
    [
        ({"every": 130}, "meter"),  # 10 h left
        ({"every": 130, "every_days": 90}, "meter"),  # sixty days left on the calendar
        ({"every": 1000, "every_days": 90}, "calendar"),
        ({"every": 1e6, "every_months": 60}, "calendar"),  # both beyond what is forecast
        ({"season_month": 4, "season_day": 1, "meter_kind": "", "every": None}, "season"),
        ({"season_month": 4, "season_day": 1, "every_months": 3}, "season"),
        ({"season_month": 11, "season_day": 1, "every_months": 2, "every": 1e6}, "calendar"),
        ({"idle_months": 3, "meter_kind": "", "every": None}, "idle"),
    ],
)
def test_driver_is_the_side_that_comes_first(interval, driver):
    machine = make.Machine()
    steady(machine)
    fields = {"every": 400, **interval}
    service = make.Interval(makeup=machine.makeup, **fields).service
    serviced(machine, service, 30)
    assert outcome_of(machine).driver.tolist() == [driver]


def test_side_that_comes_first_sets_the_dates():
    machine = make.Machine()
    steady(machine)
    service = make.Interval(makeup=machine.makeup, every=150, every_days=33).service
    serviced(machine, service, 30)
    forecasts = outcome_of(machine).forecasts
    # three days left on the calendar, about a week on the meter
    assert (forecasts.first_days[0] <= 3).all()
    assert forecasts.meter_days[0, 1] > 3
    assert forecasts.calendar_day.tolist() == [3]


def test_chance_speaks_only_where_no_reading_does():
    fresh, stale = make.Machine(), None
    steady(fresh)
    service = make.Interval(makeup=fresh.makeup, every=100).service
    serviced(fresh, service, 30)
    stale = make.Machine(makeup=fresh.makeup, yard=fresh.yard)
    meter = make.Meter(machine=stale, fitted_at=ago(300))
    for back in range(100, 39, -5):
        make.Reading(meter=meter, read_at=ago(back), value=400 - 4.0 * (back - 40))
    serviced(stale, service, 45)
    found = outcome_of(fresh)
    assert found.maybe.tolist() == [False, True]
    assert found.state.tolist() == [DueState.OVERDUE, DueState.DUE]
    assert found.forecasts.remaining[1] == pytest.approx(80)


def test_every_line_without_rules_or_calls_is_left_out():
    machine = make.Machine()
    finding = make.Finding(machine=machine, calls_for=make.Service(), seen_at=ago(5))
    serviced(machine, finding.calls_for, 1)
    found = outcome_of(machine)
    assert found.stands.tolist() == [False]
    assert np.isnan(found.forecasts.remaining).all()
