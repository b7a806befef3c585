"""What a night tells beside bookings and lists: overdue, worn, to order, to read."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from fleet.models import HandOver, Person, Role, Shop, Units
from fleet.quantities import show_volume
from scheduling.models import DuePoint, MachineState, Notice, PlannedWork, State
from scheduling.notices.addressees import desk, managers
from scheduling.notices.letter import link
from scheduling.notices.news import News, NewsLine, tell_news
from scheduling.queries.in_its_place import NEARLY
from scheduling.queries.overdue_services import how_far_past, overdue_points
from scheduling.queries.planned_parts import planned_parts
from scheduling.queries.pull_list import Pull, pulls_of

AHEAD = timedelta(days=14)
"""How far ahead parts of planned work are looked at (common practice: two weeks to order)."""
MOST_READINGS = 10
"""Readings that one letter asks for: those that tell most."""


def tell_night_news(shop: Shop, day: date, now: datetime) -> int:
    """Tell managers, mechanics and desk what is new since the last letters; return how many."""
    told = tell_news(shop, _overdue(shop, day), managers(shop), day, now)
    told += tell_news(shop, _worn(shop), [*managers(shop), *_mechanics(shop)], day, now)
    told += tell_news(shop, _to_order(shop, day), managers(shop), day, now)
    return told + _tell_readings(shop, day, now)


def _overdue(shop: Shop, day: date) -> News:
    points = overdue_points(shop).select_related("machine__yard")
    return News(
        Notice.Kind.OVERDUE,
        {
            point.work_key: NewsLine(
                f"{point.machine.tag}, {point.service}: {how_far_past(point, day)}",
                link("machine", point.machine.tag),
            )
            for point in points
        },
        "{count} newly overdue",
        "Overdue since the last letter:",
        "The Yard page shows all that is overdue, and the day on which it is planned.",
        link("yard"),
    )


def _worn(shop: Shop) -> News:
    points = DuePoint.objects.filter(
        machine__yard__shop=shop, machine__retired_on=None, driver=DuePoint.Driver.TREND,
        state__in=(State.DUE, State.OVERDUE),
    ).select_related("machine", "service")  # fmt: skip
    return News(
        Notice.Kind.TREND,
        {
            point.work_key: NewsLine(
                f"{point.service}: {point.why}",
                link("machine", point.machine.tag),
                point.machine.tag,
            )
            for point in points
        },
        "Measured wear at its limit: {count}",
        "What was measured has reached its limit:",
    )


def _to_order(shop: Shop, day: date) -> News:
    work = PlannedWork.objects.filter(
        plan__shop=shop, job__day__gte=day, job__day__lt=day + AHEAD
    ).select_related("service", "machine__makeup", "job")
    pulls = pulls_of(list(work), shop, planned_parts(shop, day))
    short = [pull for pull in pulls if pull.lacks > NEARLY]
    return News(
        Notice.Kind.PARTS,
        {f"part:{pull.need.name}": NewsLine(_short(pull, shop)) for pull in short},
        "{count} parts or fluids to order",
        "Planned work of the next two weeks takes more than is on the shelf:",
        "The shelf is corrected where something was counted wrong.",
        link("shelf"),
    )


def _short(pull: Pull, shop: Shop) -> str:
    def much(quantity: float) -> str:
        if pull.need.fluid:
            return show_volume(quantity, Units(shop.units))
        return f"{quantity:g} ×"

    there = max(pull.on_hand or 0, 0)
    return f"{pull.need.name}: {much(pull.of_itself)} needed, {much(there)} on the shelf"


def _tell_readings(shop: Shop, day: date, now: datetime) -> int:
    """Ask for readings whoever is nearest: the desk of what is out, the mechanics of the rest."""
    states = MachineState.objects.filter(
        machine__yard__shop=shop, machine__retired_on=None, reading_gain__gt=0
    ).select_related("machine")
    wanted = list(states.order_by("-reading_gain")[:MOST_READINGS])
    out = _out(one.machine_id for one in wanted)
    away = [one for one in wanted if one.machine_id in out]
    here = [one for one in wanted if one.machine_id not in out]
    told = tell_news(shop, _readings(away, "asked of who has it"), desk(shop), day, now)
    people = _mechanics(shop) or list(managers(shop))
    return told + tell_news(shop, _readings(here, "in the yard"), people, day, now)


def _readings(states: Iterable[MachineState], where: str) -> News:
    return News(
        Notice.Kind.READING,
        {
            f"read:{one.machine_id}": NewsLine(
                one.reading_why, link("machine", one.machine.tag), one.machine.tag, where
            )
            for one in states
        },
        "{count} readings wanted",
        "A reading of these tells most about when their work falls due:",
        "Type them at Meter round, or on the machine's page.",
        link("meter-round"),
    )


def _out(machine_ids: Iterable[int]) -> set[int]:
    """Return the machines that are out: handed over and not back; one query."""
    handed = HandOver.objects.filter(booking__machine__in=list(machine_ids)).order_by()
    rows = list(handed.values_list("booking__machine", "booking", "direction"))
    back = {booking for _, booking, direction in rows if direction == HandOver.Direction.BACK}
    return {machine for machine, booking, _ in rows if booking not in back}


def _mechanics(shop: Shop) -> list[Person]:
    people = Person.objects.filter(shop=shop, role=Role.MECHANIC, is_active=True)
    return list(people.order_by("pk"))
