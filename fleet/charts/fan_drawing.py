"""The fan of a meter: readings, the cleaned line, the coming 120 days, thresholds, bookings.  Pure.

Everything is in the yard's units.  The fan is the range of dates at which a total is reached,
drawn as the range of totals on each date: between low and high lie 8 in 10 futures.
"""

from fleet.charts import svg
from fleet.charts.chart import NARROW, WIDE, Chart, KeyEntry, hatched_sample, narrow_or_wide
from fleet.charts.fan_data import FanData, FanThreshold
from fleet.charts.fan_frame import Frame, frame_of
from fleet.charts.fan_words import describe_fan, fan_rows

EDGE = 8.0
"""Least distance of a mark from the frame, px."""
MOST_LETTERS = 20
"""Letters of a threshold's name on the narrow drawing; more would cover the fan."""
APART = 20.0
"""Threshold lines nearer than this share one name, px."""


def draw_fan(fan: FanData, name: str = "fan") -> Chart:
    """Draw a meter's past and its coming 120 days."""
    columns, rows = fan_rows(fan)
    return Chart(
        wide=_draw(fan, WIDE, name),
        narrow=_draw(fan, NARROW, f"{name}-n"),
        title=fan.title,
        columns=columns,
        rows=rows,
        key=_key(fan, name),
        says=fan.says,
    )


def _draw(fan: FanData, width: float, name: str) -> str:
    frame = frame_of(fan, width)
    body = "".join(
        (
            f"<defs>{svg.hatch(f'{name}-h', 'c-hatch-soft', 5)}"
            f'<clipPath id="{name}-c"><rect x="{frame.left:g}" y="{frame.top:g}" '
            f'width="{frame.right - frame.left:g}" height="{frame.foot - frame.top:g}"/></clipPath>'
            "</defs>",
            frame.grid(),
            f'<g clip-path="url(#{name}-c)">',
            _future(fan, frame),
            _past(fan, frame),
            "</g>",
            _thresholds(fan, frame),
            _refused(fan, frame),
            frame.today_line(),
            _bookings(fan, frame, name),
        )
    )
    return svg.picture(
        name, (width, frame.height), (fan.title, describe_fan(fan)), body, narrow_or_wide(width)
    )


def _future(fan: FanData, frame: Frame) -> str:
    if not fan.days:
        return ""
    upper = [frame.at(d, v) for d, v in zip(fan.days, fan.high, strict=True)]
    lower = [frame.at(d, v) for d, v in zip(fan.days, fan.low, strict=True)]
    middle = [frame.at(d, v) for d, v in zip(fan.days, fan.mid, strict=True)]
    return (
        svg.path([*upper, *reversed(lower)], "c-tint", closed=True)
        + svg.path(upper, "c-thin c-dot")
        + svg.path(lower, "c-thin c-dot")
        + svg.path(middle, "c-line c-dash")
    )


def _past(fan: FanData, frame: Frame) -> str:
    points = [frame.at(r.day, r.value) for r in fan.believed]
    dots = "".join(svg.circle(p, 2.6, "c-ink") for p in points)
    return svg.path(points, "c-line") + dots


def _refused(fan: FanData, frame: Frame) -> str:
    """Mark readings that were not believed; one far outside stands at the edge of the frame."""
    marks = []
    for rank, reading in enumerate(fan.refused, start=1):
        x, y = frame.at(reading.day, reading.value)
        y = min(max(y, frame.top + EDGE), frame.foot - EDGE)
        marks.append(svg.cross((x, y)) + svg.text((x + 8, y + 5), str(rank), "c-name"))
    return "".join(marks)


def _thresholds(fan: FanData, frame: Frame) -> str:
    """Draw the totals at which services fall due; lines that lie close share a name."""
    inside = [t for t in fan.thresholds if frame.low <= t.value <= frame.high]
    groups: list[list[FanThreshold]] = []
    for threshold in sorted(inside, key=lambda t: t.value):
        near = groups and frame.y(groups[-1][-1].value) - frame.y(threshold.value) < APART
        if near:
            groups[-1].append(threshold)
        else:
            groups.append([threshold])
    return "".join(_named_lines(group, frame) for group in groups)


def _named_lines(group: list[FanThreshold], frame: Frame) -> str:
    lines = "".join(
        svg.line((frame.left, frame.y(t.value)), (frame.right, frame.y(t.value)), "c-limit")
        for t in group
    )
    more = f" and {len(group) - 1} more" if len(group) > 1 else ""
    top = frame.y(group[-1].value)
    name = shortened(group[0].words, MOST_LETTERS if frame.width == NARROW else len(group[0].words))
    return lines + svg.text((frame.left + 6, top - 5), name + more, "c-name")


def shortened(words: str, letters: int) -> str:
    """Return words, cut with dots where they are longer; the table has them whole."""
    return words if len(words) <= letters else f"{words[: letters - 1].rstrip(' ,')}…"


def _bookings(fan: FanData, frame: Frame, name: str) -> str:
    top = frame.height - 18
    parts = [svg.text((0, top + 12), "out", "c-soft")] if fan.bookings else []
    for booking in fan.bookings:
        x1 = max(frame.x(booking.first), frame.left)
        x2 = min(frame.x(booking.last) + frame.day, frame.right)
        parts.append(svg.rect(x1, top, x2 - x1, 14, "c-outline", f' fill="url(#{name}-h)"'))
    return "".join(parts)


def _key(fan: FanData, name: str) -> list[KeyEntry]:
    entries = [
        KeyEntry(
            '<path class="c-line" d="M1 12 27 4"/><circle class="c-ink" cx="14" cy="8" r="3"/>',
            "readings",
        ),
        KeyEntry(
            '<path class="c-tint" d="M1 12 27 1v14z"/><path class="c-line c-dash" d="M1 12 27 7"/>',
            "what is to come: most likely, and 8 in 10",
        ),
        KeyEntry('<path class="c-limit" d="M1 8h26"/>', "service due"),
    ]
    if fan.refused:
        entries.append(KeyEntry(svg.cross((14, 8)), "doubtful reading, not used"))
    if fan.bookings:
        entries.append(KeyEntry(hatched_sample(name, "c-hatch-soft"), "out on a booking"))
    return entries
