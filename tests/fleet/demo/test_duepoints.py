"""The demo's shop keeps the published rules, and agrees with the site's own due points."""

from datetime import date
from math import inf

import numpy as np
import pytest

from fleet.demo.duepoints import NEVER, Point, begin, meet
from scheduling.core import intervals

DAY = date(2025, 6, 1).toordinal()


def due(rule, *services, factor=1.0, start=0.0):
    """Due life and day of a machine that starts on DAY, after services at (day, life)."""
    point = begin(rule, DAY, start, factor)
    for days, life in services:
        point = meet(rule, point, DAY + days, life, factor)
    return point


HUNDRED = {"meter_kind": "hours", "every": 100}


@pytest.mark.parametrize(
    ("anchor", "done", "life"),
    [
        ("service", 112.0, 212.0),
        # 14 CFR 91.409(b): the excess counts in the next 100 h (INT-08).
        ("due", 108.0, 200.0),
        # Rotax manual: done at 110 with +-10, next at 200, not 210 (INT-10); early: from service.
        ("keep", 110.0, 200.0),
        ("keep", 85.0, 185.0),
        ("keep", 160.0, 200.0),
        # Army: in the window as if on the point; outside it from the service (INT-01 to INT-05).
        ("window", 106.0, 200.0),
        ("window", 115.0, 215.0),
        ("window", 85.0, 185.0),
    ],
)
def test_the_next_due_point_follows_the_anchor(anchor, done, life):
    rule = HUNDRED | {"anchor": anchor, "early": 10, "late": 10}
    assert due(rule, (30, done)).life == life


def test_the_first_point_may_be_another_and_dust_brings_points_forward():
    assert due(HUNDRED | {"first_at": 20}).life == 20
    assert due(HUNDRED | {"first_at": 20}, factor=0.5).life == 10
    assert due(HUNDRED, factor=1.5).life == 150
    assert due(HUNDRED | {"hard": True}, factor=1.5).life == 100


def test_calendar_sides_keep_months():
    rule = {"every_months": 6, "first_months": 1}
    assert due(rule).day == date(2025, 7, 1).toordinal()
    assert due(rule, (10, None)).day == date(2025, 12, 11).toordinal()
    assert due(rule).life == inf


def test_a_season_done_early_counts_for_it():
    rule = {"season_month": 11, "season_day": 15, "early_days": 45}
    assert due(rule).day == date(2025, 11, 15).toordinal()
    done = date(2025, 10, 20).toordinal() - DAY
    assert due(rule, (done, None)).day == date(2026, 11, 15).toordinal()


def test_an_interval_without_calendar_never_falls_due_by_it():
    assert due(HUNDRED) == Point(100.0, 0.0, NEVER, DAY)


@pytest.mark.parametrize("anchor", ["service", "due", "keep", "window"])
def test_it_agrees_with_the_sites_own_fold_on_random_books(anchor):
    """Two authors, one rule: the core's arrays against this scalar shop, 60 books each."""
    rng = np.random.default_rng(11)
    number = {"service": 0, "due": 1, "keep": 2, "window": 3}[anchor]
    rule = HUNDRED | {"anchor": anchor, "early": 10, "late": 10, "first_at": 30}
    for _ in range(60):
        lives = np.cumsum(rng.uniform(60, 150, 6))
        ours = due(rule, *[(n, life) for n, life in enumerate(lives, start=1)]).life
        one = np.ones(1)
        rules = intervals.MeterRules(
            every=100 * one,
            first_at=30 * one,
            early=10 * one,
            late=10 * one,
            anchor=np.array([number]),
            start=0 * one,
            duty=one,
            hard=np.zeros(1, bool),
        )
        zero = np.zeros(1, int)
        calendar = intervals.CalendarRules(
            months=zero,
            days=zero,
            season_month=zero,
            season_day=zero,
            first_months=zero,
            first_days=zero,
            early=zero,
            late=zero,
            anchor=zero,
            start=np.array(["2025-06-01"], "datetime64[D]"),
            end_of_month=np.zeros(1, bool),
            hard=np.zeros(1, bool),
        )
        services = intervals.ServicesDone(
            line=np.zeros(6, int),
            day=np.datetime64("2025-06-02") + np.arange(6),
            life=lives,
        )
        theirs = intervals.due_points(rules, calendar, services)
        assert theirs.due_life[0] == pytest.approx(ours)
