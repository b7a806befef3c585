"""Swaps and rollovers put right: undone altogether, or made again with other values.

The meter that never was stays on record, struck; what was read on it is the other one's.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.fit_meters import Swap, carry_over, lock_machines, roll_over, swap_meter
from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.models import Meter, Person, Reading
from fleet.quantities import show_use
from fleet.refusal import Refusal


@dataclass(frozen=True)
class SwapCorrection:
    """When the swap really was, and what both meters showed; in stored units.

    Of a rollover old_last is where the meter began anew, and new_first is 0.
    """

    at: datetime
    old_last: float
    new_first: float = 0.0


@transaction.atomic
def undo_swap(new: Meter, *, why: str, by: Person, now: datetime) -> Meter:
    """Say that a meter was never fitted; return the one before it, which stands on.

    Undone twice is undone once.

    Raises:
        Refusal: it is the first meter, or another has been fitted since.

    """
    if not why.strip():
        raise Refusal("Say why the swap is undone.", "why")
    lock_machines([new.machine_id])
    new = Meter.every.select_related("machine__yard").get(pk=new.pk)
    old = before_it(new)
    if old is None:
        raise Refusal("This is the machine's first meter; nothing was swapped for it.")
    if new.struck_at is not None:
        return old
    if new.removed_at is not None:
        raise Refusal("Another meter has been fitted since; undo that swap first.")
    new.struck_at, new.struck_by, new.struck_why = now, by, why.strip()[:200]
    new.save(update_fields=["struck_at", "struck_by", "struck_why"])
    old.removed_at, old.last_value, old.ending = None, None, ""
    old.save(update_fields=["removed_at", "last_value", "ending"])
    carry_over(new, old, new.fitted_at, "of the meter before: the swap was undone", now)
    keep_change(new, "swap undone", by=by, now=now, reason=why)
    tell({new.machine_id})
    return old


@transaction.atomic
def correct_swap(
    new: Meter, right: SwapCorrection, *, why: str, by: Person, now: datetime
) -> Meter:
    """Make a swap or rollover again with the right values; the wrong one stays, struck."""
    new = Meter.every.select_related("machine__yard").get(pk=new.pk)
    if new.struck_at is not None:
        raise Refusal("This swap was already put right; correct the one that stands.")
    old = before_it(new)
    if old is None:
        raise Refusal("This is the machine's first meter; nothing was swapped for it.")
    rolled = old.ending == Meter.Ending.ROLLED_OVER
    before = _in_words(old, new)
    undo_swap(new, why=why or "put right", by=by, now=now)
    old.refresh_from_db()
    if rolled:
        again = roll_over(old, right.at, right.old_last, by=by, now=now)
    else:
        swap = Swap(
            meter=old, at=right.at, old_last=right.old_last, new_first=right.new_first, by=by
        )
        again = swap_meter(swap, now)
    Meter.objects.filter(pk=again.pk).update(came_with=new.came_with_id)
    old.refresh_from_db()
    act = "rollover corrected" if rolled else "swap corrected"
    keep_change(
        again, act, differences(before, _in_words(old, again)), by=by, now=now,
        reason=why,
    )  # fmt: skip
    return again


def undo_swaps_with(readings: Iterable[Reading], *, why: str, by: Person, now: datetime) -> None:
    """Undo the swaps and rollovers by which readings were answered that are undone now.

    Raises:
        Refusal: another meter has been fitted since.

    """
    for new in Meter.objects.filter(came_with__in=_with_corrected(readings)):
        undo_swap(new, why=why, by=by, now=now)


def _with_corrected(readings: Iterable[Reading]) -> set[int]:
    """Return the keys of readings, and of those that they took the place of."""
    found: set[int] = set()
    ahead = {reading.pk for reading in readings}
    while ahead:
        found |= ahead
        rows = Reading.objects.filter(pk__in=ahead, corrects__isnull=False)
        ahead = {pk for pk in rows.values_list("corrects_id", flat=True) if pk} - found
    return found


def before_it(new: Meter) -> Meter | None:
    """Return the meter that one was fitted in the place of; None for a machine's first."""
    rows = Meter.objects.filter(machine=new.machine_id, kind=new.kind).exclude(pk=new.pk)
    return rows.filter(fitted_at__lt=new.fitted_at).order_by("fitted_at").last()


def _in_words(old: Meter, new: Meter) -> dict[str, str]:
    yard = new.machine.yard
    return {
        "swapped at": f"{new.fitted_at.astimezone(yard.zone):%Y-%m-%d %H:%M}",
        "the old one last showed": show_use(old.last_value or 0.0, old.kind, yard.units),
        "the new one started at": show_use(new.first_value, new.kind, yard.units),
    }
