"""Hours of work against the shop's hours, week by week.  Pure."""

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
from fleet.charts.scales import Scale, ceiling, scale, ticks
from fleet.saying import MONTH, joined

TOP, FOOT, LEFT = 26.0, 44.0, 38.0


@dataclass(frozen=True)
class Week:
    """One week: its Monday, hours of work by kind, hours that the mechanics have left.

    unplanned: expected.  ninth: hours of work that are not passed in nine weeks of ten like it.
    """

    monday: date
    planned: float
    unplanned: float
    repairs: float
    room: float
    ninth: float = 0.0

    @property
    def work(self) -> float:
        """All hours of work of the week."""
        return self.planned + self.unplanned + self.repairs


def draw_weeks(weeks: Sequence[Week], name: str = "weeks") -> Chart:
    """Draw the hours of work of each week as a stack, and the shop's hours as a line over it.

    The figure over a bar is its hours of work; "!" stands where the shop has fewer.
    """
    return Chart(
        wide=_draw(weeks, WIDE, name),
        narrow=_draw(weeks, NARROW, f"{name}-n"),
        title="Hours of work against the shop's hours",
        columns=("Week from", "Planned, h", "To come, h", "Repairs, h", "Work, h", "Shop, h"),
        rows=[
            (
                f"{w.monday.day} {MONTH[w.monday.month - 1]}",
                *(f"{h:.0f}" for h in (w.planned, w.unplanned, w.repairs)),
                _work(w),
                f"{w.room:.0f}",
            )
            for w in weeks
        ],
        key=_key(name),
        says=describe(weeks),
    )


def _work(week: Week) -> str:
    """Say the hours of a week, and in brackets those that are not passed in nine of ten."""
    said, most = f"{week.work:.0f}", f"{week.ninth:.0f}"
    return f"{said} ({most})" if week.ninth > week.work and most != said else said


def _key(name: str) -> list[KeyEntry]:
    return [
        KeyEntry(box_sample("c-work"), "planned on a shop day"),
        KeyEntry(hatched_sample(name), "to come, every repeat counted"),
        KeyEntry(box_sample("c-open"), "repairs not planned yet"),
        KeyEntry('<path class="c-room" d="M1 8h26"/>', "the shop's hours that are left"),
    ]


def _draw(weeks: Sequence[Week], width: float, name: str) -> str:
    height = 300.0 if width == WIDE else 260.0
    top = ceiling(max((max(w.work, w.room) for w in weeks), default=1) or 1, 5)
    y = scale(0, top, height - FOOT, TOP)
    step = (width - LEFT) / max(len(weeks), 1)
    body = [f"<defs>{svg.hatch(f'{name}-h')}</defs>", _grid(top, y, width)]
    for rank, week in enumerate(weeks):
        body.append(_stack(week, LEFT + rank * step, step, y, name))
        if width == WIDE or rank % 2 == 0:
            body.append(_week_name(week, LEFT + (rank + 0.5) * step, height, rank))
    body.append(_room(weeks, step, y))
    body.append(svg.line((LEFT, y(0)), (width, y(0)), "c-axis"))
    words = ("Hours of work against the shop's hours", describe(weeks))
    return svg.picture(name, (width, height), words, "".join(body), narrow_or_wide(width))


def _grid(top: float, y: Scale, width: float) -> str:
    marks = ticks(0, top, 5)
    lines = "".join(svg.line((LEFT, y(v)), (width, y(v)), "c-grid") for v in marks)
    names = "".join(svg.text((LEFT - 8, y(v) + 4), f"{v:g}", "c-soft", "end") for v in marks)
    return lines + names + svg.text((0, TOP - 14), "hours", "c-soft")


def _stack(week: Week, x: float, step: float, y: Scale, name: str) -> str:
    inset, base, parts = step * 0.16, 0.0, []
    hatched = f' fill="url(#{name}-h)"'
    shades = (
        (week.planned, "c-work", ""),
        (week.unplanned, "c-outline", hatched),
        (week.repairs, "c-open", ""),
    )
    for hours, css, more in shades:
        top = y(base + hours)
        parts.append(svg.rect(x + inset, top, step - 2 * inset, y(base) - top, css, more))
        base += hours
    over = week.work > week.room
    if week.work:
        words = f"{week.work:.0f}!" if over else f"{week.work:.0f}"
        parts.append(
            svg.text(
                (x + step / 2, _above(week, y)), words, "c-strong" if over else "c-soft", "middle"
            )
        )
    return "".join(parts)


def _above(week: Week, y: Scale) -> float:
    """Return where the figure over a bar stands: above it, but never across the shop's line."""
    bar, room = y(week.work), y(week.room)
    return room - 7 if 0 <= bar - room < 24 else bar - 7


def _week_name(week: Week, x: float, height: float, rank: int) -> str:
    day = svg.text((x, height - FOOT + 18), f"{week.monday.day}", "", "middle")
    if rank and week.monday.day > 7 * (1 if rank % 2 else 2):
        return day
    return day + svg.text((x, height - FOOT + 35), MONTH[week.monday.month - 1], "c-soft", "middle")


def _room(weeks: Sequence[Week], step: float, y: Scale) -> str:
    """Draw the shop's hours as a stair over the bars."""
    points = []
    for rank, week in enumerate(weeks):
        points += [(LEFT + rank * step, y(week.room)), (LEFT + (rank + 1) * step, y(week.room))]
    return svg.path(points, "c-halo-line") + svg.path(points, "c-room")


def describe(weeks: Sequence[Week]) -> str:
    """Say in a sentence what the chart shows."""
    full = [w for w in weeks if w.work > w.room]
    total, room = sum(w.work for w in weeks), sum(w.room for w in weeks)
    start = f"{total:.0f} hours of work in {len(weeks)} weeks against {room:.0f} hours of the shop."
    if not full:
        return f"{start} By hours alone no week is too full."
    names = joined([f"{w.monday.day} {MONTH[w.monday.month - 1]}" for w in full])
    return f"{start} More work than hours in the week{'s' if len(full) > 1 else ''} from {names}."
