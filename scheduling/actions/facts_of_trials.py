"""Each change made a fact, by the fleet's own actions, with who and when."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import singledispatch

from django.core.exceptions import ValidationError

from fleet.actions.change_shop_days import SaidBy, allow_overtime, close_day, note_absence, open_day
from fleet.actions.count_stock import count_shelf
from fleet.actions.decide_work import PinPlace, estimate, pin
from fleet.actions.delay_deliveries import delay_delivery
from fleet.actions.make_bookings import NewBooking, move_last_day
from fleet.models import BayLoan, Booking, Delivery, LentHand, Machine, Part, Person, Shop, Skill
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.trial.changes import (
    Away,
    BackLate,
    BayLost,
    Booked,
    BrokeDown,
    DayClosed,
    DayOpened,
    HandLent,
    MoreOvertime,
    Moved,
    PartGone,
    PartLate,
    TakesLonger,
)


@dataclass(frozen=True)
class Maker:
    """For which shop, by whom, when and under which word a change becomes a fact.

    key: what makes a booking of it the same booking.
    """

    shop: Shop
    by: Person
    now: datetime
    note: str
    key: str

    @property
    def said(self) -> SaidBy:
        """Return who says it."""
        return SaidBy(self.by, self.now, self.note)


@singledispatch
def make_fact(change: object, maker: Maker) -> dict[str, str]:
    """Write a change as a fact, in the caller's transaction; Refusal where it cannot be one.

    Returns by which user name those are known now who had a passing one in the trial.
    """
    raise TypeError(f"{change!r:.60} is no change")


@make_fact.register
def _(change: DayClosed, maker: Maker) -> dict[str, str]:
    said = SaidBy(maker.by, maker.now, change.reason or maker.note)
    close_day(maker.shop, change.day, said)
    return {}


@make_fact.register
def _(change: DayOpened, maker: Maker) -> dict[str, str]:
    open_day(maker.shop, change.day, change.hours, maker.said)
    return {}


@make_fact.register
def _(change: Away, maker: Maker) -> dict[str, str]:
    person = Person.objects.get(pk=change.person)
    said = SaidBy(maker.by, maker.now, change.reason or maker.note)
    note_absence(person, change.first, change.last, said)
    return {}


@make_fact.register
def _(change: HandLent, maker: Maker) -> dict[str, str]:
    loan = LentHand(
        shop=maker.shop,
        person_id=change.person,
        name="" if change.person else change.name,
        first_day=change.first,
        last_day=change.last,
        hours=change.hours,
        note=maker.note,
    )
    try:
        loan.full_clean()
    except ValidationError as error:
        raise Refusal(" ".join(error.messages)) from error
    loan.save()
    loan.skills.set(Skill.objects.filter(name__in=change.skills))
    person = loan.person
    assert person is not None  # saving a loan sees to it
    return {} if change.person else {f"hand {change.name}": person.username}


@make_fact.register
def _(change: PartLate, maker: Maker) -> dict[str, str]:
    row = Delivery.objects.select_related("part").get(pk=change.delivery)
    delay_delivery(row, expected_on=change.day, by=maker.by, at=maker.now, note=maker.note)
    return {}


@make_fact.register
def _(change: PartGone, maker: Maker) -> dict[str, str]:
    part = Part.objects.get(pk=change.part)
    count_shelf(part, maker.shop, change.left, by=maker.by, now=maker.now, note=maker.note)
    return {}


@make_fact.register
def _(change: Booked, maker: Maker) -> dict[str, str]:
    machine = Machine.objects.select_related("yard").get(pk=change.machine)
    key = f"{maker.key}:{machine.pk}:{change.first}"
    value = None if change.value is None else Decimal(str(change.value))
    new = NewBooking(machine, change.first, change.last, change.customer, value, key)
    book_unless_blocked(new, Decision(maker.by, maker.now, maker.note))
    return {}


@make_fact.register
def _(change: BackLate, maker: Maker) -> dict[str, str]:
    booking = Booking.objects.get(pk=change.booking)
    move_last_day(booking, change.day, reason=maker.note, by=maker.by, now=maker.now)
    return {}


@make_fact.register
def _(change: Moved, maker: Maker) -> dict[str, str]:
    machine = Machine.objects.get(pk=change.machine)
    mechanic = Person.objects.filter(username=change.mechanic).first() if change.mechanic else None
    pin(machine, change.work_key, PinPlace(change.day, mechanic), by=maker.by, now=maker.now)
    return {}


@make_fact.register
def _(change: TakesLonger, maker: Maker) -> dict[str, str]:
    machine = Machine.objects.get(pk=change.machine)
    estimate(
        machine, change.work_key, change.minutes, reason=maker.note, by=maker.by, now=maker.now
    )
    return {}


@make_fact.register
def _(change: BayLost, maker: Maker) -> dict[str, str]:
    loan = BayLoan(
        shop=maker.shop, first_day=change.first, last_day=change.last, bays=-change.bays,
        note=(change.reason or maker.note)[:120],
    )  # fmt: skip
    try:
        loan.full_clean()
    except ValidationError as error:
        raise Refusal(" ".join(error.messages)) from error
    loan.save()
    return {}


@make_fact.register
def _(change: BrokeDown, maker: Maker) -> dict[str, str]:
    """It was a fact before: `report_breakdown` wrote it down."""
    return {}


@make_fact.register
def _(change: MoreOvertime, maker: Maker) -> dict[str, str]:
    allow_overtime(maker.shop, change.day, change.hours, maker.said)
    return {}
