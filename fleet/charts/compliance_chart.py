"""Share of services done on time, month by month.  Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.charts import svg
from fleet.charts.chart import (
    NARROW,
    WIDE,
    Chart,
    KeyEntry,
    box_sample,
    hatched_sample,
    narrow_or_wide,
)
from fleet.charts.scales import scale
from fleet.saying import MONTH

TOP, FOOT, LEFT, HEIGHT = 24.0, 44.0, 46.0, 230.0


@dataclass(frozen=True)
class MonthShare:
    """One month: services done within their window, and all that were done."""

    month: date
    on_time: int
    done: int

    @property
    def share(self) -> float | None:
        """On time as a share of one; None in a month without services."""
        return self.on_time / self.done if self.done else None


def draw_compliance(months: Sequence[MonthShare], name: str = "compliance") -> Chart:
    """Draw one bar a month; what was late stands hatched above what was on time."""
    return Chart(
        wide=_draw(months, WIDE, name),
        narrow=_draw(months, NARROW, f"{name}-n"),
        title="Services done on time, by month",
        columns=("Month", "On time", "Done", "Share"),
        rows=[
            (f"{MONTH[m.month.month - 1]} {m.month.year}", str(m.on_time), str(m.done), _say(m))
            for m in months
        ],
        key=[
            KeyEntry(box_sample("c-work"), "on time"),
            KeyEntry(hatched_sample(name), "late"),
        ],
        says=describe(months),
    )


def _say(month: MonthShare) -> str:
    return "none done" if month.share is None else f"{month.share * 100:.0f} %"


def _draw(months: Sequence[MonthShare], width: float, name: str) -> str:
    y = scale(0, 1, HEIGHT - FOOT, TOP)
    step = (width - LEFT) / max(len(months), 1)
    every = 1 if width == WIDE else 2
    body = [f"<defs>{svg.hatch(f'{name}-h')}</defs>"]
    for share in (0, 0.5, 1):
        body.append(svg.line((LEFT, y(share)), (width, y(share)), "c-grid"))
        body.append(svg.text((LEFT - 8, y(share) + 4), f"{share * 100:.0f} %", "c-soft", "end"))
    for rank, month in enumerate(months):
        body.append(_bar(month, LEFT + rank * step, step, name))
        if rank % every == 0:
            body.append(_name(month, LEFT + (rank + 0.5) * step, rank == 0, every))
    body.append(svg.line((LEFT, y(0)), (width, y(0)), "c-axis"))
    return svg.picture(
        name,
        (width, HEIGHT),
        ("Services done on time, by month", describe(months)),
        "".join(body),
        narrow_or_wide(width),
    )


def _bar(month: MonthShare, x: float, step: float, name: str) -> str:
    if month.share is None:
        return ""
    y, inset = scale(0, 1, HEIGHT - FOOT, TOP), step * 0.16
    wide = step - 2 * inset
    return (
        svg.rect(x + inset, y(month.share), wide, y(0) - y(month.share), "c-work")
        + svg.rect(
            x + inset, y(1), wide, y(month.share) - y(1), "c-outline", f' fill="url(#{name}-h)"'
        )
        + (svg.text((x + step / 2, TOP - 8), f"{month.share * 100:.0f}", "c-strong", "middle"))
    )


def _name(month: MonthShare, x: float, first: bool, every: int) -> str:
    """Name a month; the year stands under the first and under the first one shown of a year."""
    words = svg.text((x, HEIGHT - FOOT + 18), MONTH[month.month.month - 1], "", "middle")
    if not first and month.month.month > every:
        return words
    return words + svg.text((x, HEIGHT - FOOT + 35), f"{month.month.year}", "c-soft", "middle")


def describe(months: Sequence[MonthShare]) -> str:
    """Say in a sentence what the chart shows."""
    done = sum(m.done for m in months)
    if not done:
        return "No service was done in these months."
    on_time = sum(m.on_time for m in months)
    return f"{on_time} of {done} services were done on time, {on_time / done * 100:.0f} %."
