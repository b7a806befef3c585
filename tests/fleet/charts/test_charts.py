"""What holds for every chart: well-formed, named, unique ids, no style, no colour alone."""

import re
import xml.etree.ElementTree as ET
from datetime import date, timedelta

import pytest

from fleet.charts import (
    FanBooking,
    FanData,
    FanReading,
    FanThreshold,
    MonthBar,
    MonthShare,
    Week,
    draw_compliance,
    draw_fan,
    draw_schedule_compliance,
    draw_weeks,
)

TODAY = date(2026, 11, 25)
DAY = timedelta(days=1)


def a_fan(**changes):
    days = [TODAY + n * DAY for n in range(121)]
    facts = {
        "title": "Hour meter",
        "unit": "h",
        "today": TODAY,
        "readings": [FanReading(TODAY - n * DAY, 500 - 2 * n) for n in range(0, 90, 9)],
        "days": days,
        "low": [500 + n for n in range(121)],
        "mid": [500 + 2 * n for n in range(121)],
        "high": [500 + 3 * n for n in range(121)],
        "thresholds": [FanThreshold(600, "oil <and> filter, 600 h")],
        "bookings": [FanBooking(TODAY + 3 * DAY, TODAY + 9 * DAY, "Alder & Sons")],
    }
    return FanData(**{**facts, **changes})


WEEKS = [Week(TODAY + 7 * n * DAY, 10, 20 if n else 60, 5, 80) for n in range(12)]
MONTHS = [MonthShare(date(2026, n, 1), 9, 10) for n in range(1, 13)]
CHARTS = {
    "weeks": draw_weeks(WEEKS),
    "no weeks": draw_weeks([]),
    "idle weeks": draw_weeks([Week(TODAY, 0, 0, 0, 0)]),
    "compliance": draw_compliance(MONTHS),
    "no services": draw_compliance([MonthShare(date(2026, 1, 1), 0, 0)]),
    "schedule": draw_schedule_compliance(
        [MonthBar("Mar 2026", 8, 1, 1, 1), MonthBar("Apr 2026", 0, 0, 0, 0)]
    ),
    "fan": draw_fan(a_fan()),
    "fan without readings": draw_fan(a_fan(readings=[])),
    "fan without a future": draw_fan(a_fan(days=[], low=[], mid=[], high=[])),
    "empty fan": draw_fan(
        a_fan(readings=[], days=[], low=[], mid=[], high=[], thresholds=[], bookings=[])
    ),
    "flat fan": draw_fan(
        a_fan(
            low=[500] * 121,
            mid=[500] * 121,
            high=[500] * 121,
            readings=[FanReading(TODAY, 500)],
            thresholds=[],
        )
    ),
}
DRAWINGS = [
    pytest.param(drawing, id=f"{name} {size}")
    for name, chart in CHARTS.items()
    for size, drawing in (("wide", chart.wide), ("narrow", chart.narrow))
    if drawing
]


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_a_drawing_is_well_formed_and_named_for_those_who_cannot_see_it(drawing):
    root = ET.fromstring(drawing)
    assert root.get("role") == "img"
    title, description = root[0], root[1]
    assert (title.tag, description.tag) == ("title", "desc")
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
    assert title.text
    assert description.text


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_nothing_is_styled_inline_and_nothing_is_not_a_number(drawing):
    assert "style=" not in drawing
    assert "nan" not in drawing
    assert "inf" not in re.sub(r"<(desc|title)[^>]*>.*?</", "", drawing)


@pytest.mark.parametrize("drawing", DRAWINGS)
def test_every_pattern_that_is_used_is_defined_in_the_same_drawing(drawing):
    assert set(re.findall(r"url\(#([^)]+)\)", drawing)) <= set(re.findall(r'id="([^"]+)"', drawing))


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS.keys())
def test_ids_are_unique_over_both_drawings_and_the_key(chart):
    whole = chart.wide + chart.narrow + "".join(entry.sample for entry in chart.key)
    ids = re.findall(r' id="([^"]+)"', whole)
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS.keys())
def test_each_row_of_the_table_has_all_its_columns(chart):
    assert all(len(row) == len(chart.columns) for row in chart.rows)
