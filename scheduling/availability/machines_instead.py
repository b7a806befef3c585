"""Which instead: machines that may go in place of one that may not, the best first.  Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from fleet.models import Machine
from fleet.saying import counted, short_date
from scheduling.availability.answer import Availability, answer
from scheduling.availability.counter_facts import CounterFacts, Days
from scheduling.availability.objections import WORK
from scheduling.availability.three_answers import Answer

LISTED = 6
"""Choices that are shown; a customer is waiting."""


@dataclass(frozen=True)
class Choice:
    """One machine that may go instead.

    answer: for the days that are left from its first; first_day: later than asked where its shop
    day is among them (later).  haul_hours: on the road from its yard, by way of the shop; None: it
    is here.
    """

    answer: Availability
    first_day: date
    haul_hours: float | None
    other_class: bool
    later: bool = False

    @property
    def machine(self) -> Machine:
        """Which machine."""
        return self.answer.machine

    @property
    def day_rate(self) -> Decimal:
        """Its price a day."""
        return self.machine.price_a_day

    @property
    def when(self) -> str:
        """When it may go, where it is not just as asked: "from Fri 4 Dec, after its shop day"."""
        one = self.answer
        if self.first_day > one.today and one.after_work and one.ready_from:
            return f"from {short_date(one.ready_from, one.today)}, after its shop day"
        if self.later:
            return f"from {short_date(self.first_day, one.today)}"
        return "once its work is planned and done" if one.after_work else ""

    @property
    def haul(self) -> str:
        """From where it has to be brought, and how long that takes."""
        if self.haul_hours is None:
            return ""
        yard = self.machine.yard
        if not self.haul_hours:
            return f"from {yard}"
        return f"from {yard}, {counted(round(self.haul_hours, 1), 'hour')} of haul"


def choices(
    known: Iterable[CounterFacts], wanted: Machine, days: Days, today: date
) -> list[Choice]:
    """Return what may go in place of a machine, on its days or on those after its shop day."""
    found = []
    for standing in known:
        if standing.machine.pk != wanted.pk and (said := _soonest(standing, days, today)):
            other = standing.machine.makeup.machine_class_id != wanted.makeup.machine_class_id
            haul = _haul(wanted, standing.machine)
            first = said.days.first
            found.append(Choice(said, first, haul, other, later=first > days.first))
    return sorted(found, key=lambda one: _place(one, days))


def _soonest(standing: CounterFacts, days: Days, today: date) -> Availability | None:
    """Answer for the days asked, or for those after the shop day that stands among them."""
    said = answer(standing, days, today)
    if said.kind != Answer.MAY_NOT:
        return said
    first = said.from_day
    work = all(one.cause in WORK for one in said.against)
    if not work or first is None or first > days.last:
        return None
    later = answer(standing, replace(days, first=first, span=None), today)
    return later if later.kind != Answer.MAY_NOT else None


def _haul(wanted: Machine, other: Machine) -> float | None:
    if other.yard_id == wanted.yard_id:
        return None
    return wanted.yard.travel_hours + other.yard.travel_hours


def _place(one: Choice, days: Days) -> tuple[bool, bool, bool, bool, float, float, Decimal, str]:
    room = one.answer.room
    return (
        one.first_day > days.first,
        one.answer.kind != Answer.MAY,
        one.other_class or not one.answer.sure,
        one.haul_hours is not None,
        -room.left,
        -room.day,
        one.day_rate,
        one.machine.tag,
    )
