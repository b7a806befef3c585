"""Ways out of a booking that its machine may not keep: each with its price, done in one press."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from django.conf import settings

from fleet.models import Booking, Person
from fleet.queries.covered_services import covered_services
from fleet.queries.mine import machines_of
from fleet.saying import counted, say_minutes, say_money, short_date
from scheduling.availability.answer import Availability
from scheduling.availability.machines_instead import Choice
from scheduling.models import Block
from scheduling.queries.bookings_at_risk import risks_of
from scheduling.queries.may_go_out import Days, may_go_between
from scheduling.queries.which_instead import which_instead
from scheduling.trial.priced_ways import PricedWays, SoonerDay, priced_ways

SWAPS = 3
"""Machines that are offered in place of one."""
UNPLANNED = (
    "What falls due while it is out lies beyond the days that the plan looks at, so it has no shop"
    " day yet; a plan takes it up as the day comes nearer"
)
"""Why work of a booking cannot be done sooner that the plan does not know yet."""
CANNOT_TELL = "cannot tell: the facts as they are cannot be planned"
NOTHING = 0.5
"""Money below which a way costs nothing that anybody would count."""


class WayKind(StrEnum):
    """How a booking can be kept."""

    SWAP = "swap"
    SOONER = "sooner"
    OVERTIME = "overtime"
    SHORTER = "shorter"
    ANYWAY = "anyway"


@dataclass(frozen=True)
class WayOut:
    """One way: what the button says, what to know of it, and what it costs.

    fields: what the press sends.  keys: the work that moves.
    """

    kind: WayKind
    label: str
    note: str = ""
    price: str = ""
    fields: Mapping[str, str] = field(default_factory=dict)
    keys: Sequence[str] = ()


@dataclass(frozen=True)
class WaysOut:
    """All ways of one booking, and why there is no sooner shop day, where there is none."""

    booking: Booking
    ways: Sequence[WayOut]
    not_sooner: str = ""
    clear: bool = False
    may_go_anyway: bool = False
    anyway_price: str = ""


def ways_out(booking: Booking, person: Person, now: datetime) -> WaysOut:
    """Return the ways out of a booking that has not gone out yet; its shop's plan is loaded."""
    machine = booking.machine
    today = now.astimezone(machine.yard.zone).date()
    days = Days(max(booking.first_day, today), booking.last_day)
    said = may_go_between(machine, days, today, but=booking, hours_a_day=booking.hours_a_day)
    plan = priced_ways(machine.yard.shop, now)
    sooner, not_sooner = _sooner(booking, plan, today)
    swaps = which_instead(machine, days, today, among=machines_of(person))
    ways = [
        *(_swap(one, booking, plan) for one in swaps if not one.later),
        *sooner,
        *_shorter(booking, said, days, plan),
    ]
    return WaysOut(
        booking,
        [*ways[:SWAPS], *(way for way in ways[SWAPS:] if way.kind != WayKind.SWAP)],
        not_sooner,
        clear=not said.objections,
        may_go_anyway=said.needs_reason,
        anyway_price=_anyway(booking, plan) if said.needs_reason else "",
    )


def _sooner(booking: Booking, plan: PricedWays | None, today: date) -> tuple[list[WayOut], str]:
    if plan is None or booking.first_day <= today:
        return [], ""
    services, lacking = _services_against(booking, today)
    days, why_not = plan.sooner(booking, _keys_of(services, booking, plan))
    if not days and not why_not and any(not _keys_of({s}, booking, plan) for s in lacking):
        why_not = UNPLANNED
    ways = [_shop_day(day, today) for day in days]
    return ways, f"No sooner shop day. {why_not}." if why_not else ""


def _services_against(booking: Booking, today: date) -> tuple[set[int], set[int]]:
    """Return the services that stand against a booking, and those of them that have no day."""
    services: set[int] = set()
    lacking: set[int] = set()
    for risk in risks_of([booking], today):
        lacking |= risk.lacking
        if risk.block.kind == Block.Kind.FALLS_DUE:
            services |= {row["service"] for row in risk.block.works}
        elif risk.block.due_point:
            services.add(risk.block.due_point.service_id)
    return services, lacking


def _keys_of(services: set[int], booking: Booking, plan: PricedWays) -> list[str]:
    """Return keys of the plan's work that does services of a booking's machine, or covers them."""
    covered, makeup = covered_services(), booking.machine.makeup_id
    return [
        work.key
        for work in plan.facts.work
        if work.machine == booking.machine_id
        and work.service is not None
        and services & set(covered.done_with(makeup, work.service))
    ]


def _anyway(booking: Booking, plan: PricedWays | None) -> str:
    return say_price(plan.anyway(booking)) if plan else CANNOT_TELL


def _shop_day(day: SoonerDay, today: date) -> WayOut:
    when = f"{short_date(day.day, today)} with {day.mechanic}"
    fields = {"day": day.day.isoformat(), "mechanic": day.username}
    price = say_price(day.money)
    if day.overtime <= 0:
        return WayOut(
            WayKind.SOONER, f"Do it on {when}", "in usual hours", price, fields, day.work_keys
        )
    note = f"{say_minutes(60 * day.overtime)} of overtime"
    if day.beyond > 0:
        note += f", {say_minutes(60 * day.beyond)} more than is allowed so far"
        fields |= {"hours": f"{-(-day.beyond * 4 // 1) / 4:g}"}
    return WayOut(WayKind.OVERTIME, f"Do it on {when}", note, price, fields, day.work_keys)


def _swap(one: Choice, booking: Booking, plan: PricedWays | None) -> WayOut:
    notes = [words for words in (_class(one), one.when, one.haul) if words]
    own = booking.machine.price_a_day
    rate = float(one.day_rate - own)
    if rate:
        notes.append(f"listed at {_money(rate)} a day {'more' if rate > 0 else 'less'}")
    trip = _trip(one, booking)
    if trip:
        notes.append(f"the way counted at {_money(trip)}")
    price = say_price(plan.swap(booking, one.machine) + trip) if plan else CANNOT_TELL
    return WayOut(
        WayKind.SWAP,
        f"Give {one.machine.tag} instead",
        ", ".join(notes),
        price,
        {"machine": one.machine.tag},
    )


def _trip(one: Choice, booking: Booking) -> float:
    """Return what it costs to fetch a machine from another yard, as trips to both are priced."""
    if one.haul_hours is None:
        return 0.0
    yards = (one.machine.yard, booking.machine.yard)
    return float(sum(yard.trip_cost for yard in yards if yard.remote))


def _class(one: Choice) -> str:
    return str(one.machine.makeup.machine_class).lower() if one.other_class else "same class"


def _shorter(
    booking: Booking, said: Availability, days: Days, plan: PricedWays | None
) -> Iterator[WayOut]:
    back = said.back_by
    if back is None or not days.first <= back < booking.last_day or not said.objections:
        return
    less = (booking.last_day - back).days
    known = plan.shorter(booking, back) if plan else None
    lost = known[1] if known else less * float(booking.machine.price_a_day)
    yield WayOut(
        WayKind.SHORTER,
        f"Have it back by {short_date(back, said.today)}",
        f"{counted(less, 'day')} shorter, {_money(lost)} less hire",
        say_price(known[0]) if known else CANNOT_TELL,
        {"last_day": back.isoformat()},
    )


def say_price(money: float) -> str:
    """Say what a way does to the plan's cost, which a search after it may still better."""
    if money > NOTHING:
        return f"costs {_money(money)} more at most"
    if money < -NOTHING:
        return f"saves {_money(money)} at least"
    return "costs nothing more"


def _money(money: float) -> str:
    return say_money(abs(money), settings.CURRENCY)
