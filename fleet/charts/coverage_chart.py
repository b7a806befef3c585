"""How often ranges of dates held, one bar a month or a class of machines.  Pure."""

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

RIGHT = 0.8
"""Share of the ranges that is to hold."""
FEW = 10
"""Below so many a bar has no percentage: a share of a handful says little."""
TOP, ROW, BAR, FOOT = 26.0, 30.0, 20.0, 8.0
SHARE = 50.0
"""Room for a percentage, px."""
COUNT: dict[float, float] = {WIDE: 130.0, NARROW: 118.0}
"""Room for the count beside a bar, px."""
NAME: dict[float, float] = {WIDE: 150.0, NARROW: 100.0}
"""Room for the name before a bar, px."""


@dataclass(frozen=True)
class HeldShare:
    """What fell before, inside and after its range.  off, simple_off: mean days that the middle
    date and the simple average were off; None where neither is known.
    """

    name: str
    earlier: int
    inside: int
    later: int
    off: float | None = None
    simple_off: float | None = None

    @property
    def count(self) -> int:
        """How many ranges are judged."""
        return self.earlier + self.inside + self.later

    @property
    def share(self) -> float | None:
        """The share that held; None where there is none to judge."""
        return self.inside / self.count if self.count else None

    @property
    def says(self) -> str:
        """Say the share that held, or that there are too few to take one of."""
        if self.share is None:
            return "none"
        return say_percent(self.share) if self.count >= FEW else "too few"


def draw_coverage(shares: Sequence[HeldShare], title: str, first: str, name: str) -> Chart:
    """Draw one bar a row; first: what the first column of the table is called."""
    return Chart(
        wide=_draw(shares, WIDE, (title, name)),
        narrow=_draw(shares, NARROW, (title, f"{name}-n")),
        title=title,
        columns=(first, "Inside", "Before", "After", "Held", "Days off", "Simple average off"),
        rows=[_row(share) for share in shares],
        key=[
            KeyEntry(box_sample("c-work"), "inside its range"),
            KeyEntry(hatched_sample(name), "due before it"),
            KeyEntry(box_sample("c-open"), "due after it"),
            KeyEntry('<path class="c-line c-dash" d="M14 0v16"/>', "8 of 10, as it should be"),
        ],
    )


def _row(share: HeldShare) -> list[str]:
    counts = (share.inside, share.earlier, share.later)
    off = ("" if days is None else f"{days:.1f}" for days in (share.off, share.simple_off))
    return [share.name, *map(str, counts), share.says, *off]


def _draw(shares: Sequence[HeldShare], width: float, words: tuple[str, str]) -> str:
    title, name = words
    height = TOP + ROW * len(shares) + FOOT
    x = scale(0, 1, NAME[width], width - COUNT[width])
    body = [f"<defs>{svg.hatch(f'{name}-h')}</defs>"]
    for share in (0, 0.5, RIGHT, 1):
        if width == WIDE or share in (0, RIGHT):
            body.append(svg.text((x(share), TOP - 10), say_percent(share), "c-soft", "middle"))
    for rank, row in enumerate(shares):
        body.append(_bar(row, TOP + rank * ROW, x, name))
    body.append(svg.line((x(RIGHT), TOP - 4), (x(RIGHT), height - FOOT), "c-halo-line"))
    body.append(svg.line((x(RIGHT), TOP - 4), (x(RIGHT), height - FOOT), "c-line c-dash"))
    said = "; ".join(f"{row.name} {row.says}" for row in shares)
    return svg.picture(
        name, (width, height), (title, f"Share of ranges that were right: {said}."), "".join(body),
        narrow_or_wide(width),
    )  # fmt: skip


def _bar(row: HeldShare, top: float, x: Scale, name: str) -> str:
    """Draw what was inside from the left, then what came before and what came after."""
    middle = top + ROW / 2 + 5
    right = x(1) + 10
    parts = [svg.text((0, middle), row.name)]
    if not row.count:
        return parts[0] + svg.text((x(0), middle), "none", "c-soft")
    place = 0.0
    for count, css, more in (
        (row.inside, "c-work", ""),
        (row.earlier, "c-outline", f' fill="url(#{name}-h)"'),
        (row.later, "c-open", ""),
    ):
        end = place + count / row.count
        parts.append(svg.rect(x(place), top + (ROW - BAR) / 2, x(end) - x(place), BAR, css, more))
        place = end
    parts.append(svg.text((right, middle), row.says, "c-strong"))
    parts.append(svg.text((right + SHARE, middle), f"of {row.count:,}", "c-soft"))
    return "".join(parts)
