"""Machines as the plan sees them: where they stand, what a day of rental is worth, when out."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fleet.models import Booking, HandOver, Machine, Shop
from scheduling.plan.horizon import Horizon

LOOK_BACK = 90
"""Days of past bookings from which the chance of rental is taken."""

SHRINK_DAYS = 10.0
"""Days of the class's share on hire mixed into each machine's."""

VISIT_HOURS, VISIT_COST = 0.5, 32.0
"""Of a visit to the shop: wash, move, paperwork (our judgement, to be set by yard)."""

SITE_HOURS, SITE_COST = 0.25, 10.0
"""Of a visit at a remote yard, beside the way there."""

HALF_DAY = 0.5
"""Days; what most visits take a machine out of the yard for."""


@dataclass(frozen=True)
class Out:
    """A booking, in days from today; value in money."""

    pk: int
    first: int
    last: int
    value: float


@dataclass(frozen=True)
class Rented:
    """One machine; yard: key of its remote yard, None where it comes to the shop."""

    pk: int
    tag: str
    makeup: int
    yard: int | None
    day_rate: float
    demand: float
    outs: tuple[Out, ...]

    @property
    def visit(self) -> tuple[float, float]:
        """Return hours and money that any visit takes before work begins."""
        return (VISIT_HOURS, VISIT_COST) if self.yard is None else (SITE_HOURS, SITE_COST)

    @property
    def visit_money(self) -> float:
        """Return about what one more visit costs: its own money and half a day without rent."""
        return self.visit[1] + HALF_DAY * self.day_rate * self.demand


def load_rented(
    shop: Shop, horizon: Horizon, now: datetime, wanted: Collection[int]
) -> dict[int, Rented]:
    """Load the machines that have work, with three queries."""
    query = Machine.objects.filter(yard__shop=shop).order_by("pk").values(
        "pk", "tag", "makeup_id", "yard_id", "yard__remote", "day_rate",
        "makeup__machine_class_id", "makeup__machine_class__day_rate",
    )  # fmt: skip
    rows = list(query)
    bookings = _bookings(shop, horizon, now)
    share = _shares(rows, bookings, horizon)
    return {
        row["pk"]: _rented(row, bookings.get(row["pk"], []), share[row["pk"]])
        for row in rows
        if row["pk"] in wanted
    }


def _bookings(shop: Shop, horizon: Horizon, now: datetime) -> dict[int, list[Out]]:
    """Return bookings of the recent past and to come, as they really went, by machine."""
    since = horizon.date(-LOOK_BACK)
    rows = Booking.objects.filter(
        machine__yard__shop=shop, cancelled_at=None, last_day__gte=since, made_at__lte=now
    ).order_by("first_day", "pk")
    moved = {
        (booking, direction): at.astimezone(shop.zone).date()
        for booking, direction, at in HandOver.objects.filter(
            booking__in=rows.order_by(), at__lte=now
        ).values_list("booking_id", "direction", "at")
    }
    found: dict[int, list[Out]] = {}
    for pk, machine, first, last, value in rows.values_list(
        "pk", "machine_id", "first_day", "last_day", "value"
    ):
        back = moved.get((pk, HandOver.Direction.BACK))
        late = max(last, horizon.first) if (pk, HandOver.Direction.OUT) in moved else last
        end = late if back is None else _last_day(first, last, back)
        out = Out(pk, horizon.number(first), horizon.number(end), float(value or 0))
        found.setdefault(machine, []).append(out)
    return found


def _last_day(first: date, last: date, back: date) -> date:
    """Return the day before a machine came back: on that day itself it may be worked on."""
    returned = date.fromordinal(back.toordinal() - 1)
    return max(first, min(last, returned))


def _shares(
    rows: Sequence[Mapping[str, Any]], bookings: dict[int, list[Out]], horizon: Horizon
) -> dict[int, float]:
    """Return each machine's share of past days on hire, drawn to that of its class."""
    days = {row["pk"]: _days_out(bookings.get(row["pk"], [])) for row in rows}
    of_class: dict[int, list[int]] = {}
    for row in rows:
        of_class.setdefault(row["makeup__machine_class_id"], []).append(days[row["pk"]])
    return {
        row["pk"]: _drawn(days[row["pk"]], of_class[row["makeup__machine_class_id"]])
        for row in rows
    }


def _days_out(outs: list[Out]) -> int:
    past: set[int] = set()
    for out in outs:
        past |= set(range(max(out.first, -LOOK_BACK), min(out.last + 1, 0)))
    return len(past)


def _drawn(days: int, of_class: list[int]) -> float:
    mean = sum(of_class) / len(of_class) / LOOK_BACK
    return round(min((days + SHRINK_DAYS * mean) / (LOOK_BACK + SHRINK_DAYS), 1.0), 4)


def _rented(row: Mapping[str, Any], outs: list[Out], share: float) -> Rented:
    rate = row["day_rate"]
    rate = float(row["makeup__machine_class__day_rate"] if rate is None else rate)
    coming = tuple(
        Out(o.pk, o.first, o.last, o.value or rate * (o.last - o.first + 1))
        for o in outs
        if o.last >= 0
    )
    site = row["yard_id"] if row["yard__remote"] else None
    return Rented(row["pk"], row["tag"], row["makeup_id"], site, rate, share, coming)
