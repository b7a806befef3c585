"""From a meter's fan in stored units to the chart of it in the yard's units."""

from fleet import charts
from fleet.models import MeterKind
from fleet.quantities import show_use, unit_of, unit_size
from fleet.tongues.phrase_book import spoken
from scheduling.queries.meter_fan import MeterFan

SHOWN_BACK = 180
"""Days of the past that the chart shows."""


def chart_of(fan: MeterFan, kind: MeterKind) -> charts.FanData:
    """Return what the chart shows of a fan."""
    size = unit_size(kind, fan.units)
    since = fan.today.toordinal() - SHOWN_BACK
    line = [charts.FanReading(at.date(), life / size) for at, life in fan.line]
    refused = [charts.FanReading(r.read_at.date(), r.life / size, r.sentence) for r in fan.rejected]
    spread = [[life / size for life in fan.quantiles[q]] for q in (0.1, 0.5, 0.9)]
    return charts.FanData(
        title=f"{kind.label}: past and to come",
        unit=unit_of(kind, fan.units),
        says=fan.sentence,
        today=fan.today,
        readings=[r for r in line + refused if r.day.toordinal() >= since] or line[-1:],
        days=fan.days,
        low=spread[0],
        mid=spread[1],
        high=spread[2],
        thresholds=[
            charts.FanThreshold(
                t.life / size, f"{spoken(t.service)}, {show_use(t.life, kind, fan.units)}"
            )
            for t in fan.thresholds
        ],
        bookings=[
            charts.FanBooking(first, last, customer)
            for first, last, customer in fan.bookings
            if last.toordinal() >= since
        ],
    )
