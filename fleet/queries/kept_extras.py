"""Photos and charges of hand-overs, and what the shop's own rule would charge."""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from fleet.booked_times import due_back
from fleet.models import BookingChange, HandOver, HandOverCharge, HandOverPhoto, MachineClass
from fleet.queries.compared_hand_overs import used_between
from fleet.return_charges import ChargeRule, ReturnCharge, ReturnFigures, charges

BACK = HandOver.Direction.BACK


def photos_of(row: HandOver) -> QuerySet[HandOverPhoto]:
    """Return the photos that stand."""
    return row.photos.filter(struck_at=None).select_related("by")


def charges_of(row: HandOver) -> QuerySet[HandOverCharge]:
    """Return the charges that stand."""
    return row.charges.filter(struck_at=None).select_related("by")


def kept_with(row: HandOver, kind: str) -> QuerySet[Any]:
    """Return all photos, or all charges, struck ones too; kind: "photo" or "charge"."""
    return row.photos.all() if kind == "photo" else row.charges.all()


def struck_of(row: HandOver) -> list[HandOverPhoto | HandOverCharge]:
    """Return what was struck, with who and why."""
    rows: list[HandOverPhoto | HandOverCharge] = [
        *row.photos.exclude(struck_at=None).select_related("struck_by"),
        *row.charges.exclude(struck_at=None).select_related("struck_by"),
    ]
    return sorted(rows, key=lambda one: one.at)


def total(rows: list[HandOverCharge]) -> Decimal:
    """Return what is charged in all."""
    return sum((one.amount for one in rows), Decimal(0))


def rule_of(machine_class: MachineClass) -> ChargeRule:
    """Return the prices that the shop set for a class."""
    return ChargeRule(
        machine_class.hours_included, machine_class.extra_hour_price,
        machine_class.fuel_price, machine_class.late_day_price,
    )  # fmt: skip


def has_rule(machine_class: MachineClass) -> bool:
    """Tell whether the shop charges returns of a class by a rule of its own."""
    return rule_of(machine_class) != ChargeRule()


def suggested(row: HandOver) -> list[ReturnCharge]:
    """Return what the rule of the class charges for a return and is not charged yet."""
    rule = rule_of(row.booking.machine.makeup.machine_class)
    if row.direction != BACK or rule == ChargeRule():
        return []
    rows = row.booking.hand_overs.prefetch_related("readings__meter", "readings__corrected_by")
    made = {one.direction: one for one in rows}
    out, back = made.get(HandOver.Direction.OUT), made.get(BACK)
    if out is None or back is None or back.pk != row.pk:
        return []
    had = set(charges_of(row).values_list("what", flat=True))
    return [one for one in charges(rule, _figures(out, back)) if one.what not in had]


def _figures(out: HandOver, back: HandOver) -> ReturnFigures:
    booking = back.booking
    yard = booking.machine.yard
    promised = _promised_last(back)
    used = used_between(out, back, yard)
    days = (promised - booking.first_day).days + 1
    return ReturnFigures(
        used.hours, max(days, 1), out.level, back.level, _days_late(back, back.at)
    )  # fmt: skip


def _promised_last(back: HandOver) -> date:
    """Return the last day as it stood before this return moved it."""
    moved = BookingChange.objects.filter(
        booking=back.booking_id, at=back.at, reason__startswith="came back"
    ).first()
    return moved.old_last_day if moved else back.booking.last_day


def _days_late(back: HandOver, at: datetime) -> int:
    booking = back.booking
    promised = replace(booking.days, last_day=_promised_last(back))
    ended = due_back(promised, booking.machine.yard.zone)
    if at <= ended:
        return 0
    return (at - ended).days + 1
