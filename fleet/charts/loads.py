"""Load bars: minutes of work against minutes at hand, one bar a mechanic or a day.  Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from fleet.charts import svg
from fleet.charts.chart import Chart, KeyEntry, box_sample, hatched_sample
from fleet.saying import say_minutes

ROW, WIDTH, BAR = 46.0, 344.0, 14.0


@dataclass(frozen=True)
class Load:
    """One bar: whose or which day's it is, minutes of work, minutes at hand."""

    name: str
    work: float
    room: float

    @property
    def words(self) -> str:
        """Say the load: "6 h 30 min of 8 h"."""
        over = f", {say_minutes(self.work - self.room)} over" if self.work > self.room else ""
        return f"{say_minutes(self.work)} of {say_minutes(self.room)}{over}"


def draw_loads(loads: Sequence[Load], name: str = "loads", title: str = "Load") -> Chart:
    """Draw one bar under each name: filled to the work, hatched where it is more than there is."""
    drawing = _draw(loads, name, title)
    return Chart(
        wide="",
        narrow=drawing,
        title=title,
        columns=("", "Work", "At hand"),
        rows=[(x.name, say_minutes(x.work), say_minutes(x.room)) for x in loads],
        key=[
            KeyEntry(box_sample("c-work"), "work"),
            KeyEntry(hatched_sample(name), "over"),
        ],
    )


def _draw(loads: Sequence[Load], name: str, title: str) -> str:
    most = max((max(x.work, x.room) for x in loads), default=1) or 1
    body = [f"<defs>{svg.hatch(f'{name}-h')}</defs>"]
    for rank, load in enumerate(loads):
        top, unit = rank * ROW, (WIDTH - 2) / most
        inside = min(load.work, load.room) * unit
        body += [
            svg.text((0, top + 15), load.name, "c-strong"),
            svg.text((WIDTH, top + 15), load.words, "", "end"),
            svg.rect(1, top + 22, load.room * unit, BAR, "c-open"),
            svg.rect(1, top + 22, inside, BAR, "c-work"),
            svg.rect(
                1 + inside,
                top + 22,
                (load.work - load.room) * unit,
                BAR,
                "c-outline",
                f' fill="url(#{name}-h)"',
            ),
        ]
    words = "; ".join(f"{x.name}: {x.words}" for x in loads) or "No one works on these days."
    return svg.picture(
        name, (WIDTH, max(len(loads), 1) * ROW), (title, words), "".join(body), "chart-loads"
    )
