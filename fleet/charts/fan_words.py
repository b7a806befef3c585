"""The fan chart in words and as a table, for those who cannot see it and for paper.  Pure."""

from fleet.charts.fan_data import FanData
from fleet.saying import counted, short_date

STEP = 30
"""The table tells the fan every so many days."""


def describe_fan(fan: FanData) -> str:
    """Say in a few sentences what the chart shows."""
    parts = []
    if fan.believed:
        last = fan.believed[-1]
        parts.append(
            f"Last reading {last.value:,.0f} {fan.unit} on {short_date(last.day, fan.today)}."
        )
    else:
        parts.append("No reading yet.")
    if fan.days:
        parts.append(
            f"By {short_date(fan.days[-1], fan.today)} most likely {fan.mid[-1]:,.0f} {fan.unit}, "
            f"8 in 10 between {fan.low[-1]:,.0f} and {fan.high[-1]:,.0f}."
        )
    parts += [f"{t.words}." for t in fan.thresholds]
    if fan.refused:
        parts.append(f"{counted(len(fan.refused), 'reading')} not used.")
    return " ".join(parts)


def fan_rows(fan: FanData) -> tuple[list[str], list[list[str]]]:
    """Return the chart's figures as a table: last readings, the fan each 30 days, the refused."""
    columns = ["Day", f"Total, {fan.unit}", "8 in 10 between", "What"]
    rows = [
        [short_date(r.day, fan.today), f"{r.value:,.0f}", "", "reading"] for r in fan.believed[-6:]
    ]
    marks = range(STEP - 1, len(fan.days), STEP)
    rows += [
        [
            short_date(fan.days[n], fan.today),
            f"{fan.mid[n]:,.0f}",
            f"{fan.low[n]:,.0f} and {fan.high[n]:,.0f}",
            "most likely",
        ]
        for n in marks
    ]
    rows += [["", f"{t.value:,.0f}", "", f"due: {t.words}"] for t in fan.thresholds]
    rows += [
        [short_date(r.day, fan.today), f"{r.value:,.0f}", "", f"not used: {r.rejected}"]
        for r in fan.refused
    ]
    rows += [
        [
            f"{short_date(b.first, fan.today)} to {short_date(b.last, fan.today)}",
            "",
            "",
            f"out: {b.words}",
        ]
        for b in fan.bookings
    ]
    return columns, rows
