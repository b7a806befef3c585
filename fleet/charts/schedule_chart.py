"""What happened to the work on each day's list, one bar a month.  Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

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
from fleet.charts.scales import Scale, scale
from fleet.saying import say_percent

TOP, ROW, BAR, FOOT = 26.0, 30.0, 20.0, 8.0
NAME: dict[float, float] = {WIDE: 90.0, NARROW: 74.0}
"""Room for the month before a bar, px."""
COUNT: dict[float, float] = {WIDE: 150.0, NARROW: 110.0}
"""Room for share and count beside a bar, px."""
SHARE = 48.0
"""Room for the share alone, px."""


@dataclass(frozen=True)
class MonthBar:
    """Pieces of work that stood on a month's lists, by what became of them."""

    name: str
    on_day: int
    other_day: int
    put_off: int
    not_done: int

    @property
    def listed(self) -> int:
        """All of them."""
        return self.on_day + self.other_day + self.put_off + self.not_done

    @property
    def says(self) -> str:
        """Say the share that was done on its day."""
        return say_percent(self.on_day / self.listed) if self.listed else "none"


def draw_schedule_compliance(months: Sequence[MonthBar], name: str = "schedule") -> Chart:
    """Draw the months, each bar as wide as all of its work; it can be read on grey paper."""
    title = "What happened to the work on each day's list"
    return Chart(
        wide=_draw(months, WIDE, (title, name)),
        narrow=_draw(months, NARROW, (title, f"{name}-n")),
        title=title,
        columns=("Month", "On lists", "On the day", "On another day", "Put off", "Not done",
                 "Share on the day"),
        rows=[
            (m.name, *map(str, (m.listed, m.on_day, m.other_day, m.put_off, m.not_done)), m.says)
            for m in months
        ],
        key=[
            KeyEntry(box_sample("c-work"), "done on the day"),
            KeyEntry(box_sample("c-light"), "done on another day"),
            KeyEntry(hatched_sample(name), "put off with a reason"),
            KeyEntry(box_sample("c-open"), "not done"),
        ],
    )  # fmt: skip


def _draw(months: Sequence[MonthBar], width: float, words: tuple[str, str]) -> str:
    title, name = words
    height = TOP + ROW * len(months) + FOOT
    x = scale(0, 1, NAME[width], width - COUNT[width])
    body = [f"<defs>{svg.hatch(f'{name}-h')}</defs>"]
    for share, anchor in ((0.0, "start"), (0.5, "middle"), (1.0, "end")):
        body.append(svg.text((x(share), TOP - 10), say_percent(share), "c-soft", anchor))
    body += [_bar(month, TOP + rank * ROW, x, name) for rank, month in enumerate(months)]
    said = "; ".join(f"{m.name}, {m.says} of {m.listed}" for m in months)
    return svg.picture(
        name, (width, height), (title, f"Done on the day: {said}."), "".join(body),
        narrow_or_wide(width),
    )  # fmt: skip


def _bar(month: MonthBar, top: float, x: Scale, name: str) -> str:
    middle = top + ROW / 2 + 5
    parts = [svg.text((0, middle), month.name)]
    if not month.listed:
        return parts[0] + svg.text((x(0), middle), "no list", "c-soft")
    place = 0.0
    for count, css, more in (
        (month.on_day, "c-work", ""),
        (month.other_day, "c-light", ""),
        (month.put_off, "c-outline", f' fill="url(#{name}-h)"'),
        (month.not_done, "c-open", ""),
    ):
        end = place + count / month.listed
        parts.append(svg.rect(x(place), top + (ROW - BAR) / 2, x(end) - x(place), BAR, css, more))
        place = end
    parts.append(svg.text((x(1) + 10, middle), month.says, "c-strong"))
    parts.append(svg.text((x(1) + 10 + SHARE, middle), f"of {month.listed:,}", "c-soft"))
    return "".join(parts)
