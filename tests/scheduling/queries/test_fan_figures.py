"""From a meter's fan in metres to the chart of it in miles."""

from datetime import UTC, datetime, timedelta

from fleet.models import MeterKind
from fleet.quantities import MILE
from scheduling.queries.fan_figures import SHOWN_BACK, chart_of
from scheduling.queries.meter_fan import MeterFan, Rejected, Threshold
from tests.factories import NOON, TODAY

DAY = timedelta(days=1)


def a_fan(**changes):
    facts = {
        "kind": "distance",
        "units": "us",
        "today": TODAY,
        "line": [(NOON - 9 * DAY, 90 * MILE), (NOON, 100 * MILE)],
        "rejected": [Rejected(NOON - DAY, 5 * MILE, 5 * MILE, "below an earlier reading")],
        "days": [TODAY, TODAY + DAY],
        "quantiles": {q: [100 * MILE, (100 + 10 * q) * MILE] for q in (0.1, 0.25, 0.5, 0.75, 0.9)},
        "thresholds": [Threshold("Brakes", 150 * MILE, "clear", None)],
        "bookings": [(TODAY, TODAY + DAY, "Alder"), (TODAY - 400 * DAY, TODAY - 399 * DAY, "Old")],
        "life_now": 100 * MILE,
        "read_at": NOON,
        "sentence": "100 mi of use.",
    }
    return MeterFan(**{**facts, **changes})


def test_everything_is_shown_in_the_yards_unit():
    chart = chart_of(a_fan(), MeterKind.DISTANCE)
    assert chart.unit == "mi"
    assert [round(r.value) for r in chart.believed] == [90, 100]
    assert [round(v) for v in (chart.low[1], chart.mid[1], chart.high[1])] == [101, 105, 109]
    assert chart.thresholds[0].words == "Brakes, 150 mi"


def test_refused_readings_keep_their_reason():
    (refused,) = chart_of(a_fan(), MeterKind.DISTANCE).refused
    assert refused.rejected == "below an earlier reading"


def test_the_far_past_is_left_out_but_never_the_last_reading():
    long_ago = datetime(2024, 1, 1, tzinfo=UTC)
    assert (TODAY - long_ago.date()).days > SHOWN_BACK
    chart = chart_of(a_fan(line=[(long_ago, 90 * MILE)], rejected=[]), MeterKind.DISTANCE)
    assert [r.day for r in chart.readings] == [long_ago.date()]
    assert [b.words for b in chart.bookings] == ["Alder"]
