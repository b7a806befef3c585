"""Load bars: minutes of work against minutes at hand, one small bar a cell of a table.  Pure.

The table carries the figures; a bar beside them is filled from its foot to the work, outlined to
what there is, and hatched where there is more work than that, so that grey paper tells them apart.
"""

from dataclasses import dataclass

from fleet.charts import svg
from fleet.saying import say_minutes

WIDTH, HEIGHT = 36.0, 44.0
"""Of the drawing of one bar, px."""
LEAST_OVER = 3.0
"""Minutes: the twentieth of an hour, below which both figures of a cell read the same."""
GAP = 6.0
"""Distance of the lines of its hatching, px."""


@dataclass(frozen=True)
class LoadBar:
    """One bar: whose or which day's it is, minutes of work, minutes at hand."""

    name: str
    work: float
    room: float

    @property
    def over(self) -> float:
        """Minutes of work beyond those at hand; what the figures cannot show is none."""
        over = self.work - self.room
        return over if over >= LEAST_OVER else 0.0

    @property
    def words(self) -> str:
        """Say the load: "6 h 30 min of 8 h"."""
        over = f", {say_minutes(self.over)} over" if self.over else ""
        return f"{say_minutes(self.work)} of {say_minutes(self.room)}{over}"

    @property
    def figures(self) -> str:
        """Say the load in hours, as short as a cell of a phone: "6.5/8"."""
        return f"{short_hours(self.work)}/{short_hours(self.room)}"


def draw_bar(load: LoadBar, most: float) -> str:
    """Draw one bar; most: minutes that reach its top.  Who cannot see it reads the cell."""
    unit = (HEIGHT - 2) / most if most > 0 else 0.0
    foot = HEIGHT - 1
    inside = min(load.work, load.room) * unit
    high = foot - load.room * unit
    body = [
        svg.line((0, foot), (WIDTH, foot), "c-axis"),
        svg.rect(5, high, WIDTH - 10, load.room * unit, "c-open"),
        svg.rect(5, foot - inside, WIDTH - 10, inside, "c-work"),
    ]
    if load.over:
        top = foot - load.work * unit
        body.append(svg.rect(5, top, WIDTH - 10, load.over * unit, "c-open"))
        body.append(_hatched(top, load.over * unit))
    drawn = "".join(body)
    return (
        f'<svg class="chart load-bar" aria-hidden="true" viewBox="0 0 {svg.number(WIDTH)} '
        f'{svg.number(HEIGHT)}">{drawn}</svg>'
    )


def _hatched(top: float, height: float) -> str:
    """Draw lines across what is over; without a pattern, so that no ids clash on a page."""
    rows = int(height // GAP) + 1
    return "".join(
        svg.line((5, top + GAP * n), (WIDTH - 5, min(top + GAP * (n + 1), top + height)), "c-hatch")
        for n in range(rows)
        if GAP * n < height
    )


def short_hours(minutes: float) -> str:
    """Return hours with one place; none where they are whole, or ten and more."""
    hours = minutes / 60
    return f"{hours:.0f}" if hours >= 9.95 else f"{hours:.1f}".removesuffix(".0")
