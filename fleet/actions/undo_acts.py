"""The last act undone by one press: over the corrections, with who undid it as the reason.

Each kind of row that an act brought is taken back by the action that strikes such a row; what was
built upon it is refused there, in its own words.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.actions.class_lines import call_off_line
from fleet.actions.correct_findings import strike_findings, unsettle_findings
from fleet.actions.correct_hand_overs import undo_hand_over
from fleet.actions.correct_meters import undo_swaps_with
from fleet.actions.correct_readings import strike_reading
from fleet.actions.correct_records import strike_record
from fleet.actions.count_stock import strike_movement
from fleet.actions.decide_work import take_back_put_off
from fleet.actions.keep_changes import keep_change
from fleet.actions.keep_sheet_entries import open_again
from fleet.actions.lay_down_work import take_back_progress
from fleet.actions.make_bookings import call_off
from fleet.actions.order_parts import drop_line
from fleet.actions.wait_list import end_wait
from fleet.changed_facts import tell
from fleet.models import (
    Act,
    Booking,
    ClassLine,
    Finding,
    HandOver,
    Hold,
    OrderLine,
    Person,
    Progress,
    PutOff,
    ServiceRecord,
    StockMovement,
    Waiting,
)
from fleet.queries.last_act import UNDO_WITHIN
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal


@dataclass(frozen=True)
class _Undoing:
    """Who undoes what, and when."""

    act: Act
    by: Person
    now: datetime

    @property
    def why(self) -> str:
        return f"undone by {self.by} within ten minutes"


@transaction.atomic
def undo_act(act: Act, *, by: Person, now: datetime) -> bool:
    """Take an act back altogether; False if it was taken back before.

    Raises:
        Refusal: it is somebody else's or too long ago, or something was built upon it.

    """
    if act.by_id != by.pk:
        raise Refusal("Somebody else did that; correct it here instead.")
    if act.undone_at is None and now - act.at > UNDO_WITHIN:
        raise Refusal("That was more than ten minutes ago; correct it here instead.")
    if not Act.objects.filter(pk=act.pk, undone_at=None).update(undone_at=now):
        return False
    undoing = _Undoing(act, by, now)
    for kind, undo in STEPS.items():
        if keys := act.rows.get(kind):
            undo(undoing, keys)
    return True


def _hand_overs(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in HandOver.every.filter(pk__in=keys).select_related("booking"):
        if hasattr(row, "corrected_by"):
            raise Refusal("It was put right since; correct it here instead.")
        holds = undo_hand_over(row, why=undoing.why, by=undoing.by, now=undoing.now)
        _holds(undoing, [hold.pk for hold in holds if hold.placed_at == row.at])


def _records(undoing: _Undoing, keys: Sequence[int]) -> None:
    rows = list(ServiceRecord.objects.filter(pk__in=keys).select_related("machine__yard__shop"))
    gone = HandOver.objects.filter(
        booking__machine__in={row.machine_id for row in rows}, at__gt=undoing.act.at
    )
    if later := gone.select_related("booking__machine").first():
        what = "gone out" if later.direction == HandOver.Direction.OUT else "come back"
        raise Refusal(
            f"{later.booking.machine.tag} has {what} since; correct the entry here instead."
        )
    for row in rows:
        strike_record(row, why=undoing.why, by=undoing.by, now=undoing.now)


def _findings(undoing: _Undoing, keys: Sequence[int]) -> None:
    found = list(Finding.objects.filter(pk__in=keys, struck=False).select_related("machine"))
    if any(one.settled_at for one in found):
        raise Refusal("What was found has been settled since; correct it here instead.")
    strike_findings(found, why=undoing.why, by=undoing.by, now=undoing.now)


def _settled(undoing: _Undoing, keys: Sequence[int]) -> None:
    found = list(Finding.objects.filter(pk__in=keys, struck=False).select_related("machine"))
    unsettle_findings(found, why=undoing.why, by=undoing.by, now=undoing.now)


def _holds(undoing: _Undoing, keys: Sequence[int]) -> None:
    """A hold that was hung by mistake is let go by whoever hung it; it stays on record."""
    rows = Hold.objects.filter(pk__in=keys, released_at=None).select_related("machine", "finding")
    for hold in rows:
        hold.released_at, hold.released_by = undoing.now, undoing.by
        hold.released_note = undoing.why
        hold.save(update_fields=["released_at", "released_by", "released_note"])
        keep_change(hold, "undone", by=undoing.by, now=undoing.now, reason=undoing.why)
        if hold.look and hold.finding is not None and hold.finding.settled_at is None:
            strike_findings([hold.finding], why=undoing.why, by=undoing.by, now=undoing.now)
        tell({hold.machine_id})


def _readings(undoing: _Undoing, keys: Sequence[int]) -> None:
    readings = list(standing().filter(pk__in=keys).select_related("meter__machine__yard"))
    for reading in readings:
        strike_reading(reading, why=undoing.why, by=undoing.by, now=undoing.now)
    undo_swaps_with(readings, why=undoing.why, by=undoing.by, now=undoing.now)


def _put_offs(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in PutOff.objects.filter(pk__in=keys).select_related("machine"):
        take_back_put_off(row, why=undoing.why, by=undoing.by, now=undoing.now)


def _progress(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in Progress.objects.filter(pk__in=keys).select_related("machine"):
        take_back_progress(row, why=undoing.why, by=undoing.by, now=undoing.now)


def _bookings(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in Booking.objects.filter(pk__in=keys):
        call_off(row, by=undoing.by, now=undoing.now, why=undoing.why)


def _class_lines(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in ClassLine.objects.filter(pk__in=keys):
        call_off_line(row, by=undoing.by, now=undoing.now, why=undoing.why)


def _waits(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in Waiting.objects.filter(pk__in=keys, booking=None):
        end_wait(row, by=undoing.by, now=undoing.now, why=undoing.why)


def _movements(undoing: _Undoing, keys: Sequence[int]) -> None:
    for row in StockMovement.objects.filter(pk__in=keys).select_related("part", "shop"):
        strike_movement(row, why=undoing.why, by=undoing.by, now=undoing.now)


def _order_lines(undoing: _Undoing, keys: Sequence[int]) -> None:
    """A part that was missed by mistake goes off the list again, unless it is ordered by now."""
    for line in OrderLine.objects.filter(pk__in=keys, ordered_at=None):
        drop_line(line, by=undoing.by, now=undoing.now)


def _sheet(undoing: _Undoing, kept: Sequence[Any]) -> None:
    """What was finished from a sheet stands on it again: it is mended there and sent anew."""
    key, typed = kept
    if (machine := undoing.act.machine) is not None:
        open_again(machine, key, typed, by=undoing.by, at=undoing.act.at)


STEPS: dict[str, Callable[[_Undoing, Sequence[Any]], None]] = {
    "hand over": _hand_overs,
    "record": _records,
    "settled": _settled,
    "finding": _findings,
    "hold": _holds,
    "reading": _readings,
    "put off": _put_offs,
    "progress": _progress,
    "booking": _bookings,
    "class line": _class_lines,
    "wait": _waits,
    "movement": _movements,
    "order line": _order_lines,
    "sheet": _sheet,
}
"""Kind of row -> how it is taken back, in this order."""
