"""From intervals as set up to the rules of the core, sound ones and others."""

from datetime import date, timedelta

import numpy as np
import pytest

from fleet.models import Interval
from scheduling.core.intervals import AnchorRule
from scheduling.due.learning import learn
from scheduling.due.line_rules import line_rules
from scheduling.due.lines import make_lines
from scheduling.due.meter_use import kind_use
from scheduling.facts.load_facts import load_facts
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY, ago, steady

pytestmark = pytest.mark.django_db


def rules_of(machine):
    facts = load_facts(Scope(machine.yard.shop_id), NOW)
    use = facts.use
    uses = {kind: kind_use(use, m, learn(use, m)) for kind, m in use.meters.items()}
    lines = make_lines(facts, uses)
    return line_rules(facts, lines, uses)


def test_every_part_of_an_interval_reaches_the_core():
    machine = make.Machine(duty_factor=0.5)
    steady(machine)
    make.Interval(
        makeup=machine.makeup, every=200, first_at=20, early_percent=10, late=30, late_percent=10,
        meter_cap=15, every_months=6, first_months=1, early_days=7,
        anchor="keep", end_of_month=True, hard=True, idle_months=3,
    )  # fmt: skip
    rules = rules_of(machine)
    meter, calendar = rules.meter, rules.calendar
    assert (meter.every[0], meter.first_at[0], meter.duty[0]) == (200, 20, 0.5)
    assert (meter.early[0], meter.late[0]) == (15, 15)  # 10 % is 20 h, at most 15; 30 h, 20, 15
    assert (calendar.months[0], calendar.first_months[0]) == (6, 1)
    assert (calendar.early[0], calendar.late[0]) == (7, 18)  # 10 % of 180 days; 7 is less
    assert meter.anchor[0] == calendar.anchor[0] == AnchorRule.KEEP_UNLESS_EARLY
    assert meter.hard[0]
    assert calendar.end_of_month[0]
    assert rules.idle_months[0] == 3
    assert not rules.broken[0]


def test_percentage_of_a_season_alone_does_not_close_its_window():
    machine = make.Machine()
    season = {"season_month": 11, "season_day": 15}
    window = {"early_days": 20, "early_percent": 10}
    make.Interval(makeup=machine.makeup, meter_kind="", every=None, **season, **window)
    assert rules_of(machine).calendar.early.tolist() == [20]


@pytest.mark.parametrize(
    "bad",
    [
        {"every": 0},
        {"every": -3},
        {"every": float("inf")},
        {"every_months": 3, "every_days": 10},  # months hold
        {"season_month": 2, "season_day": 30},  # no year has it
        {"season_month": 13, "season_day": 1},
        {"season_day": 4},
    ],
)
def test_what_cannot_be_met_is_left_out_and_marked(bad):
    machine = make.Machine()
    Interval.objects.create(
        service=make.Service(), makeup=machine.makeup, **{"meter_kind": "hours", "every": 9, **bad}
    )
    assert rules_of(machine).broken.tolist() == [True]


@pytest.mark.parametrize("bad", [{"early": -1}, {"late_percent": -5}, {"meter_cap": -2}])
def test_window_that_cannot_be_is_no_window(bad):
    machine = make.Machine()
    steady(machine)
    make.Interval(makeup=machine.makeup, every=100, **bad)
    meter = rules_of(machine).meter
    assert (meter.early[0], meter.late[0]) == (0, 0)


def started(day, **meter):
    machine = make.Machine(started_on=day)
    steady(machine, **meter)
    make.Interval(makeup=machine.makeup, every=100)
    return rules_of(machine).meter.start[0]


def test_life_at_the_start():
    assert np.isnan(started(None))
    # fitted with the machine
    assert started(ago(400).date(), first_value=3) == 3
    # read off the line: 40 days ago at midnight, half a day before 180 h
    assert started(TODAY - timedelta(days=40)) == pytest.approx(178)
    # the meter came long after the start, and what it showed before is not known
    assert np.isnan(started(date(2019, 5, 1), first_value=50))
    # a meter that began at 0
    assert started(date(2019, 5, 1), first_value=0) == 0
