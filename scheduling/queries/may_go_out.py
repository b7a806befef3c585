"""May this machine go out from this day to that day?  If not, which of its class may?

Everything known of the machines is loaded with seven queries, however many they are; the rule
itself stands in `scheduling.availability`.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.booked_times import DAY, MIDNIGHT, moment
from fleet.models import Booking, Finding, HandOver, Machine, MachineClass, Yard
from scheduling.availability.answer import (
    Availability,
    answer,
    best_first,
    first_that_may,
    with_chances,
)
from scheduling.availability.counter_facts import CounterFacts, Days, StandingBooking
from scheduling.availability.three_answers import Answer
from scheduling.availability.use_on_hire import UseOnHire
from scheduling.models import Block, DuePoint
from scheduling.queries.planned_for import day_of_work, planned_for
from scheduling.queries.said_blocks import with_causes
from scheduling.queries.use_on_hires import use_on_hires

__all__ = ["Availability", "Days", "may_go_between", "may_go_out", "standings", "which_may"]


def may_go_out(
    machine: Machine,
    first_day: date,
    last_day: date,
    today: date,
    *,
    but: Booking | None = None,
    hours_a_day: float | None = None,
) -> Availability:
    """Say whether a machine may go out on whole days: see `may_go_between`."""
    days = Days(first_day, last_day)
    return may_go_between(machine, days, today, but=but, hours_a_day=hours_a_day)


def may_go_between(
    machine: Machine,
    days: Days,
    today: date,
    *,
    but: Booking | None = None,
    hours_a_day: float | None = None,
) -> Availability:
    """Say whether a machine may go out; but: the booking on which it would go.

    days: with times or moments, where no whole days are asked for.  hours_a_day: use that the
    customer expects; None: as `but` says, or on past hires.  A no names the best machine of the
    same class and shop that may go instead.
    """
    if hours_a_day is None and but is not None:
        hours_a_day = but.hours_a_day
    (own,) = standings([machine], today, but=but, hours_a_day=hours_a_day, now=days.now)
    said = with_chances(answer(own, days, today), own)
    if said.kind != Answer.MAY_NOT:
        return said
    others = Machine.objects.filter(
        makeup__machine_class=machine.makeup.machine_class_id, yard__shop=machine.yard.shop_id
    ).exclude(pk=machine.pk)
    ranked = best_first(_answers(others, days, today, hours_a_day), near=machine.yard_id)
    return replace(said, instead=first_that_may(ranked, machine))


def which_may(
    machine_class: MachineClass,
    days: Days,
    today: date,
    *,
    among: QuerySet[Machine] | None = None,
    yard: Yard | None = None,
    hours_a_day: float | None = None,
) -> list[Availability]:
    """Return the answer for every machine of a class, those that may go out first.

    among: the machines that a person may look at; yard: only those that live there.
    """
    rows = (Machine.objects.all() if among is None else among).filter(
        makeup__machine_class=machine_class, retired_on=None
    )
    rows = rows.filter(yard=yard) if yard else rows
    ranked = best_first(_answers(rows, days, today, hours_a_day))
    return [
        one if one.yes else replace(one, instead=first_that_may(ranked, one.machine))
        for one in ranked
    ]


def _answers(
    rows: QuerySet[Machine], days: Days, today: date, hours_a_day: float | None = None
) -> list[Availability]:
    rows = rows.filter(retired_on=None).select_related("now", "makeup__machine_class", "yard__shop")
    known = standings(rows, today, hours_a_day=hours_a_day, now=days.now, until=days.last)
    return [with_chances(answer(one, days, today), one) for one in known]


def standings(
    machines: Iterable[Machine],
    today: date,
    *,
    but: Booking | None = None,
    hours_a_day: float | None = None,
    now: datetime | None = None,
    until: date | None = None,
) -> list[CounterFacts]:
    """Load what is known of machines; one booking can be left out of account.

    now: when it is asked; then what came back and is being made ready is known, too.  until: the
    last day that is asked about; None: all promises to come are known.
    """
    listed = list(machines)
    rows = _promises([machine.pk for machine in listed], today, but, now)
    if until is not None and until < date.max - 2 * DAY:
        # what begins a day behind it in any zone is no obstacle
        rows = rows.filter(starts_at__lt=moment(until + 2 * DAY, MIDNIGHT, ZoneInfo("UTC")))
    # the forecast counts the days of a booking as days of hire, with the use that it says
    use = UseOnHire({}, hours_a_day, but is not None, but.hours_a_day if but else None)
    return standings_with(listed, _by_machine(rows), today, use)


def standings_with(
    machines: Sequence[Machine],
    promised: Mapping[int, Sequence[Any]],
    today: date,
    use: UseOnHire | None = None,
) -> list[CounterFacts]:
    """Load what is known of machines besides their promises.

    promised: by machine, with is_out and is_back beside each.  use: what is said of the use a day;
    what past hires tell is added.
    """
    ids, said = [machine.pk for machine in machines], use or UseOnHire()
    blocks = _by_machine(with_causes(Block.objects.filter(_lasting(today), machine__in=ids)))
    points = _by_machine(DuePoint.objects.filter(machine__in=ids).select_related("service"))
    defects = _by_machine(
        Finding.objects.filter(machine__in=ids, settled_at=None).exclude(
            gravity=Finding.Gravity.NOTE
        )
    )
    planned = _planned(ids, points)
    used = use_on_hires(machines, today)
    return [
        CounterFacts(
            machine,
            getattr(machine, "now", None),
            [_of_machine(row, machine) for row in promised.get(machine.pk, ())],
            blocks[machine.pk],
            points[machine.pk],
            defects[machine.pk],
            {p.pk: planned[p.pk] for p in points[machine.pk] if p.pk in planned},
            machine.yard.shop.frozen_days,
            machine.yard.shop.horizon_days,
            UseOnHire(used[machine.pk], said.said, said.known, said.counted),
        )
        for machine in machines
    ]


def _of_machine(row: Any, machine: Machine) -> StandingBooking:
    row.machine = machine
    return StandingBooking(row, row.is_out, row.is_back)


def _promises(
    ids: list[int], today: date, but: Booking | None, now: datetime | None
) -> QuerySet[Any]:
    """Return bookings that are to come or still out, with is_out and is_back beside each.

    And those that are back, while the machine is not ready for the next customer.
    """
    handed = HandOver.objects.filter(booking=OuterRef("pk"))
    gone = Exists(handed.filter(direction=HandOver.Direction.OUT))
    back = Exists(handed.filter(direction=HandOver.Direction.BACK))
    open_ = ~back & (Q(last_day__gte=today) | gone)
    wanted = open_ if now is None else open_ | Q(ends_at__gt=now)
    rows: QuerySet[Any] = Booking.objects.filter(wanted, machine__in=ids, cancelled_at=None)
    rows = rows.annotate(is_out=gone, is_back=back)
    return rows.exclude(pk=but.pk) if but else rows


def _lasting(today: date) -> Q:
    return Q(last_day=None) | Q(last_day__gte=today)


def _planned(ids: list[int], points: dict[int, list[DuePoint]]) -> dict[int, date]:
    """Return the first day after which each due point counts as met, by the plan."""
    planned = planned_for(ids)
    days = {p.pk: day_of_work(planned, p) for own in points.values() for p in own}
    return {key: day for key, day in days.items() if day}


def _by_machine(rows: Iterable[Any]) -> dict[int, list[Any]]:
    grouped: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        grouped[row.machine_id].append(row)
    return grouped
