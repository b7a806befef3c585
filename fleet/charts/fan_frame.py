"""Where things stand on the fan chart: the frame of days and totals, and its grid.  Pure."""

from dataclasses import dataclass
from datetime import date

from fleet.charts import svg
from fleet.charts.chart import WIDE
from fleet.charts.fan_data import FanData
from fleet.charts.scales import Scale, month_starts, scale, ticks

TOP, FOOT, BOOKINGS = 22.0, 26.0, 24.0


@dataclass(frozen=True)
class Frame:
    """The rectangle of a fan chart and the maps into it, px."""

    first: date
    last: date
    today: date
    low: float
    high: float
    unit: str
    width: float
    height: float
    left: float
    top: float
    foot: float

    @property
    def right(self) -> float:
        """Right edge, px."""
        return self.width - 2

    @property
    def day(self) -> float:
        """Width of one day, px."""
        return (self.right - self.left) / max((self.last - self.first).days, 1)

    @property
    def y(self) -> Scale:
        """From a total to its height on the drawing."""
        return scale(self.low, self.high, self.foot, self.top)

    def x(self, day: date) -> float:
        """From a day to its place from the left."""
        return self.left + (day - self.first).days * self.day

    def at(self, day: date, value: float) -> svg.Point:
        """From a day and a total to a point."""
        return self.x(day), self.y(value)

    def grid(self) -> str:
        """Draw round totals and first days of months."""
        parts = [svg.text((0, self.top - 8), self.unit, "c-soft")]
        for value in ticks(self.low, self.high, 5):
            y = self.y(value)
            parts.append(svg.line((self.left, y), (self.right, y), "c-grid"))
            parts.append(svg.text((self.left - 6, y + 4), f"{value:,.0f}", "c-soft", "end"))
        months = month_starts(self.first, self.last)
        every = 1 if self.width == WIDE else 2
        for rank, (day, name) in enumerate(months):
            x = self.x(day)
            parts.append(svg.line((x, self.foot), (x, self.foot + 5), "c-axis"))
            if rank % every == 0 and x < self.right - 24:
                parts.append(svg.text((x + 3, self.foot + 17), name))
        parts.append(svg.line((self.left, self.foot), (self.right, self.foot), "c-axis"))
        return "".join(parts)

    def today_line(self) -> str:
        """Draw the line between what is known and what is to come."""
        x = self.x(self.today)
        return svg.line((x, self.top), (x, self.foot), "c-thin") + svg.text(
            (x, self.top - 8), "today", "c-strong", "middle"
        )


def frame_of(fan: FanData, width: float) -> Frame:
    """Return a frame that holds the believed readings, the fan and the thresholds near it."""
    days = [fan.today, *fan.days[-1:], *(r.day for r in fan.readings)]
    low, high = _reach(fan)
    height = 340.0 if width == WIDE else 300.0
    foot = height - FOOT - (BOOKINGS if fan.bookings else 0)
    return Frame(
        first=min(days),
        last=max(days),
        today=fan.today,
        low=low,
        high=high,
        unit=fan.unit,
        width=width,
        height=height,
        left=14 + 7.5 * len(f"{high:,.0f}"),
        top=TOP,
        foot=foot,
    )


def _reach(fan: FanData) -> tuple[float, float]:
    """Return the totals that the chart spans: what was read, the fan, and the first threshold."""
    values = [r.value for r in fan.believed] + list(fan.low[-1:]) + list(fan.high[-1:])
    if not values:
        values = [t.value for t in fan.thresholds] or [0.0]
    low, high = min(values), max(values)
    ahead = [t.value for t in fan.thresholds if t.value >= low]
    if ahead:
        # A threshold that no likely future reaches must not squeeze the rest of the picture.
        high = max(high, min(*ahead, low + 2 * max(high - low, 1)))
    margin = 0.06 * max(high - low, 1)
    return max(low - margin, 0), high + margin
