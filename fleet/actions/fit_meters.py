"""Meters are swapped and roll over; the machine's life goes on across them."""

from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.db.models import Max

from fleet.changed_facts import tell
from fleet.models import Machine, Meter, MeterKind, Person, Reading, RecordedMeter
from fleet.quantities import show_use
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from fleet.saying import say_moment


@dataclass(frozen=True, kw_only=True)
class Swap:
    """One meter comes off, another goes on; values in hours, metres or cycles."""

    meter: Meter
    at: datetime
    old_last: float
    new_first: float = 0.0
    by: Person | None = None


def lock_machines(machine_ids: list[int]) -> None:
    """Let one transaction at a time write readings of these machines.

    On PostgreSQL their rows are locked; on SQLite the transaction took the write lock at its start.
    """
    if not connection.features.has_select_for_update:
        return
    rows = Machine.objects.select_for_update(no_key=True).filter(pk__in=machine_ids).order_by("pk")
    list(rows.values_list("pk"))  # asking is what locks


@transaction.atomic
def swap_meter(swap: Swap, now: datetime) -> Meter:
    """Put another meter in the place of one, and return it; the same swap twice is one swap."""
    lock_machines([swap.meter.machine_id])
    swap.meter.refresh_from_db()
    if swap.meter.removed_at is not None:
        return _swapped_already(swap)
    _check(swap, now)
    return _follow(swap, Meter.Ending.SWAPPED, now)


@transaction.atomic
def roll_over(meter: Meter, at: datetime, top: float, *, by: Person | None, now: datetime) -> Meter:
    """Let a meter start again at 0 after `top`; the new row of the same meter is returned."""
    lock_machines([meter.machine_id])
    meter.refresh_from_db()
    swap = Swap(meter=meter, at=at, old_last=top, by=by)
    if meter.removed_at is not None:
        return _swapped_already(swap)
    _check(swap, now)
    return _follow(swap, Meter.Ending.ROLLED_OVER, now)


def _swapped_already(swap: Swap) -> Meter:
    """Return what followed if this very swap is on record, or refuse."""
    meter = swap.meter
    siblings = Meter.objects.filter(machine_id=meter.machine_id, kind=meter.kind)
    following = siblings.filter(fitted_at__gte=meter.fitted_at).exclude(pk=meter.pk).first()
    same = (meter.removed_at, meter.last_value) == (swap.at, swap.old_last)  # sent twice
    if following is None or not same:
        raise Refusal(
            f"This {MeterKind(meter.kind).label.lower()} of {meter.machine.tag} was already"
            f" {meter.get_ending_display() or 'taken off'}; look at its present meter."
        )
    return following


def _check(swap: Swap, now: datetime) -> None:
    meter, yard = swap.meter, swap.meter.machine.yard
    today = now.astimezone(yard.zone).date()

    def use(value: float) -> str:
        return show_use(value, meter.kind, yard.units)

    if swap.at > now:
        raise Refusal("That swap is in the future; enter when it was made.", "swapped_at")
    if swap.at <= meter.fitted_at:
        fitted = say_moment(meter.fitted_at, yard.zone, today)
        raise Refusal(f"The meter was only fitted on {fitted}; the swap came later.", "swapped_at")
    if swap.new_first < 0:
        raise Refusal("A meter never shows less than zero.", "new_first")
    shown = standing().filter(meter=meter, read_at__lt=swap.at).aggregate(most=Max("value"))
    most = max(meter.first_value, shown["most"] or 0.0)
    sure = standing().filter(meter=meter, read_at__lt=swap.at, really_so=True).exists()
    if swap.old_last < most and not sure:
        raise Refusal(
            f"The old meter had shown {use(most)} already, so it cannot have ended at"
            f" {use(swap.old_last)}; correct one of the two.",
            "old_last",
        )


def _follow(swap: Swap, ending: Meter.Ending, now: datetime) -> Meter:
    """End one meter's row, begin the next, and carry over the readings that belong to it."""
    old = swap.meter
    old.removed_at, old.last_value, old.ending = swap.at, swap.old_last, ending
    old.save(update_fields=["removed_at", "last_value", "ending"])
    new = Meter.objects.create(
        machine_id=old.machine_id,
        kind=old.kind,
        fitted_at=swap.at,
        first_value=swap.new_first,
        rolls_over_at=old.rolls_over_at,
        noted_by=swap.by,
    )
    carry_over(old, new, new.fitted_at, "of the meter fitted then", now)
    tell({old.machine_id})
    return new


def carry_over(old: Meter, new: Meter, since: datetime, note: str, now: datetime) -> None:
    """What was read on one meter from then on was another's: each reading is corrected by one
    of that; what entries of the book noted follows.
    """
    Reading.objects.bulk_create(
        Reading(
            meter=new,
            read_at=reading.read_at,
            value=reading.value,
            source=reading.source,
            read_by_id=reading.read_by_id,
            entered_at=now,
            really_so=reading.really_so,
            corrects=reading,
            note=note,
        )
        for reading in standing().filter(meter=old, read_at__gte=since)
    )
    RecordedMeter.objects.filter(meter=old, record__done_at__gte=since).update(meter=new)
