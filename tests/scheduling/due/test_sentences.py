"""The words beside dates, without a database."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduling.due.sentences import DueWording, headline, optional, say_use, why

TODAY = date(2026, 3, 2)
OIL = DueWording(
    service="Oil change", state="clear", driver="meter", kind="hours", units="us", today=TODAY,
    remaining=23.4, past_window=-23.4, due_day=None, p50=TODAY + timedelta(days=6), last_done=None,
    recent_rate=4.1, rate=3.9, hire_share=0.6, own_readings=True, maybe_due=False,
    never_done=False, words="",
)  # fmt: skip


def said(**changes):
    return replace(OIL, **changes)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (OIL, "4.1 h a day over the last 6 weeks, on hire 60 % of days; 23 h to go"),
        (
            said(own_readings=False, hire_share=None),
            "About 3.9 h a day, as its class does; 23 h to go",
        ),
        (
            said(remaining=-12.0, hire_share=None, never_done=True),
            "4.1 h a day over the last 6 weeks; 12 h past the due point; "
            "no record of it; counted from the machine's start",
        ),
        (
            said(driver="calendar", due_day=date(2026, 4, 1), last_done=date(2025, 4, 1)),
            "By the calendar: due Wed 1 Apr; last done Tue 1 Apr 2025",
        ),
        (said(driver="season", due_day=date(2026, 11, 15)), "By the season: due Sun 15 Nov"),
        (said(driver="finding", words="belt frayed"), "Found: belt frayed"),
        (
            said(driver="never", never_done=True),
            "No record of it and the machine's start is not known: due at once",
        ),
        (said(driver="idle"), "Falls due only if the machine sits too long"),
        (
            said(driver="trend", words="lining 3 mm, limit 2 mm", hire_share=None),
            "Measured: lining 3 mm, limit 2 mm; 4.1 h a day over the last 6 weeks; 23 h to go",
        ),
        (said(driver="", kind=""), ""),
    ],
)
def test_why(line, sentence):
    assert why(line) == sentence


def test_why_asks_for_a_reading_first():
    line = said(maybe_due=True, kind="distance", state="due")
    assert why(line).startswith("May already be due: read the odometer; ")


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (OIL, "Oil change due in 6 days, 23 h left"),
        (said(state="due"), "Oil change due now, 23 h left"),
        (said(state="due", remaining=-1.0), "Oil change due now"),
        # 12 h past its window of 13 h: counted from the due point, as the Yard and the sheet do
        (said(state="overdue", past_window=12.0, remaining=-25.0), "Oil change overdue by 25 h"),
        (
            said(state="overdue", past_window=None, due_day=date(2026, 2, 20)),
            "Oil change overdue since Fri 20 Feb",
        ),
        (said(state="overdue", past_window=None), "Oil change overdue"),
        (said(p50=None), "Oil change not due within 120 days, 23 h left"),
        (said(p50=None, state="unknown"), "Oil change: not known when it falls due"),
        (
            said(state="due", maybe_due=True),
            "Oil change may already be due: read the hour meter",
        ),
    ],
)
def test_headline(line, sentence):
    assert headline(line) == sentence


@pytest.mark.parametrize(
    ("value", "kind", "units", "shown"),
    [
        (23.4, "hours", "us", "23 h"),
        (9.94, "hours", "us", "9.9 h"),
        (1_609_344.0, "distance", "us", "1,000 mi"),
        (25_000.0, "distance", "metric", "25 km"),
        (0.0, "hours", "us", "0 h"),
    ],
)
def test_use_is_said_whole_from_ten_on(value, kind, units, shown):
    assert say_use(value, kind, units) == shown


def test_long_texts_fit_their_fields():
    line = said(service="x" * 80, words="y" * 600, driver="finding", state="due")
    assert len(why(line)) <= 500
    assert len(headline(line)) <= 200


def test_number_that_is_none():
    assert optional(float("nan")) is optional(float("inf")) is None
    assert optional(1.5) == 1.5
