"""Check-outs and returns put right or undone; the old one stays on record, struck through.

What came with a hand-over goes with it: its readings, what was found on the walk-round, the last
day that a return moved, what was decided against a block.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.actions.correct_findings import strike_findings
from fleet.actions.correct_meters import undo_swaps_with
from fleet.actions.correct_readings import Correction, correct_reading, strike_reading
from fleet.actions.hand_over import CAME_BACK, WalkRound, end_booking
from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.keep_times import promised_span, save_booking
from fleet.actions.keep_use import keep_use
from fleet.actions.keep_with_hand_over import extras_follow, strike_with
from fleet.actions.make_bookings import clash
from fleet.actions.note_faults import fault_text, note_faults
from fleet.actions.particulars import Particulars, particulars_of
from fleet.actions.take_readings import take_reading
from fleet.changed_facts import tell
from fleet.models import (
    Booking,
    BookingChange,
    HandOver,
    Hold,
    Machine,
    Override,
    Person,
    Reading,
    Source,
)
from fleet.quantities import show_use
from fleet.queries.handed_readings import readings_at
from fleet.queries.judge_readings import NewReading
from fleet.refusal import Refusal
from fleet.saying import say_moment
from fleet.validation.reasons import ReadingAnswer

OUT, BACK = HandOver.Direction.OUT, HandOver.Direction.BACK


@dataclass(frozen=True)
class HandOverCorrection:
    """What a hand-over should have said.

    values: key of a reading that was taken with it -> what its meter showed, in stored units; None:
    the meter was not read.  added: kind of meter -> what it showed although it was not written
    down.  safety: the points that are for safety.  more: None leaves fuel, accessories and the rest
    as they were.
    """

    at: datetime
    points: Mapping[str, bool]
    note: str = ""
    values: Mapping[int, float | None] = field(default_factory=dict)
    added: Mapping[str, float] = field(default_factory=dict)
    safety: frozenset[str] = frozenset()
    more: Particulars | None = None


@transaction.atomic
def undo_hand_over(row: HandOver, *, why: str, by: Person, now: datetime) -> list[Hold]:
    """Undo a check-out or return altogether; return the holds that hang on what was found at it.

    The booking stands again as it was, its last day too.  Undone twice is undone once.

    Raises:
        Refusal: something was built upon it: a return, a later hand-over, a booking of the days.

    """
    row = _locked(row)
    if row.struck_at is not None:
        return []
    if not why.strip():
        raise Refusal("Say why it is undone.", "why")
    _refuse_built_upon(row)
    if row.direction == BACK:
        _give_last_day_back(row, by, now, "the return was undone")
        _refuse_let_since(row.booking)
    _strike(row, why, by, now)
    save_booking(row.booking, ["last_day"])
    because = f"the {row.get_direction_display()} was undone"
    found = list(row.findings.filter(struck=False))
    strike_findings([one for one in found if one.settled_at is None], why=because, by=by, now=now)
    taken = readings_at(row)
    for reading in taken:
        strike_reading(reading, why=because, by=by, now=now)
    undo_swaps_with(taken, why=because, by=by, now=now)
    strike_with(row, why=because, by=by, now=now)
    Override.objects.filter(booking=row.booking_id, at=row.at).update(struck=True)
    keep_change(row, "undone", by=by, now=now, reason=why)
    tell({row.booking.machine_id})
    return list(Hold.objects.filter(finding__in=found, released_at=None))


@transaction.atomic
def correct_hand_over(
    row: HandOver,
    right: HandOverCorrection,
    *,
    why: str,
    by: Person,
    now: datetime,
    sure: bool = False,
) -> HandOver:
    """Put a check-out or return right by a new one; sure: odd as a value is, it is so.

    Raises:
        ReadingRefused: a value is odd and nobody said that it is sure.
        Refusal: it was put right before, or the time cannot be.

    """
    row = _locked(row)
    if row.struck_at is not None:
        raise Refusal("This hand-over was already put right; correct the one that stands.")
    _refuse_time(row, right.at, now)
    before = _in_words(row)
    _readings_follow(row, right, by, now, why=why, sure=sure)
    taken = readings_at(row) + _forgotten(row, right, by, now, sure=sure)
    moved = right.at != row.at and row.direction == BACK
    if moved:
        _give_last_day_back(row, by, now, "the return was put right")
    _strike(row, why or "put right", by, now)
    new = HandOver.objects.create(
        booking=row.booking,
        direction=row.direction,
        at=right.at,
        by=row.by,
        walk_round=dict(right.points),
        note=right.note,
        form_key=row.form_key,
        corrects=row,
        **(right.more or particulars_of(row)).fields(),
    )
    new.readings.set(taken)
    Override.objects.filter(booking=row.booking_id, at=row.at).update(at=right.at)
    if row.direction == OUT and new.hours_a_day != row.hours_a_day:
        keep_use(row.booking, new.hours_a_day, by=by, now=now)
    if right.at != row.at and row.direction == OUT:
        save_booking(row.booking, [])
    if moved:
        end_booking(row.booking, right.at.astimezone(row.booking.machine.yard.zone), by)
    _faults_follow(row, new, right, by, now)
    extras_follow(row, new)
    changed = differences(before, _in_words(new))
    keep_change(row, "corrected", changed, by=by, now=now, reason=why)
    tell({row.booking.machine_id})
    return new


def _locked(row: HandOver) -> HandOver:
    """Take the machine's turn, and return the hand-over as it stands then."""
    Machine.objects.select_for_update(no_key=True).get(pk=row.booking.machine_id)
    rows = HandOver.every.select_related(
        "booking__machine__yard__shop", "booking__machine__makeup__machine_class", "by"
    )
    return rows.get(pk=row.pk)


def _strike(row: HandOver, why: str, by: Person, now: datetime) -> None:
    row.struck_at, row.struck_by, row.struck_why = now, by, why.strip()[:200]
    row.save(update_fields=["struck_at", "struck_by", "struck_why"])


def _refuse_built_upon(row: HandOver) -> None:
    booking = row.booking
    tag = booking.machine.tag
    if row.direction == OUT and booking.hand_overs.filter(direction=BACK).exists():
        raise Refusal(f"{tag} has come back since; undo the return first.")
    if row.direction == BACK:
        later = HandOver.objects.filter(booking__machine=booking.machine_id, at__gt=row.at)
        if other := later.exclude(booking=booking).select_related("booking").first():
            raise Refusal(
                f"{tag} has gone out since, with {other.booking.customer}; correct the return"
                " instead."
            )


def _refuse_time(row: HandOver, at: datetime, now: datetime) -> None:
    """A hand-over stays between the one before it and the one after it."""
    if at > now:
        raise Refusal("That is in the future; correct the day or the time.", "when")
    machine = row.booking.machine
    others = HandOver.objects.filter(booking__machine=machine).exclude(pk=row.pk)
    today = now.astimezone(machine.yard.zone).date()

    def said(other: HandOver) -> str:
        return say_moment(other.at, machine.yard.zone, today)

    before = others.filter(at__lte=row.at).order_by("-at").first()
    if before and at <= before.at:
        raise Refusal(f"That is before the {before.get_direction_display()} on {said(before)}.",
                      "when")  # fmt: skip
    after = others.filter(at__gt=row.at).order_by("at").first()
    if after and at >= after.at:
        raise Refusal(f"That is after the {after.get_direction_display()} on {said(after)}.",
                      "when")  # fmt: skip


def _give_last_day_back(row: HandOver, by: Person, now: datetime, because: str) -> None:
    """Let the booking end again on the day on which it ended before this return moved it.

    The caller saves it, with the moments that follow.
    """
    booking = row.booking
    moved = booking.changes.filter(at=row.at, reason__in=CAME_BACK).order_by("pk").last()
    if moved is None or moved.new_last_day != booking.last_day:
        return
    came, booking.last_day = booking.last_day, moved.old_last_day
    BookingChange.objects.create(
        booking=booking, old_last_day=came, new_last_day=booking.last_day,
        reason=because, by=by, at=now,
    )  # fmt: skip


def _refuse_let_since(booking: Booking) -> None:
    """Refuse to undo a return where the machine was let again within the days it gave back."""
    if other := clash(booking, *promised_span(booking)):
        raise Refusal(
            f"{booking.machine.tag} is booked for {other.customer} from {other.first_day:%a %-d %b}"
            " by now, within the days that this booking had; correct the return instead."
        )


def _readings_follow(
    row: HandOver, right: HandOverCorrection, by: Person, now: datetime, *, why: str, sure: bool
) -> None:
    for reading in readings_at(row):
        value = right.values.get(reading.pk, reading.value)
        read_at = reading.read_at if right.at == row.at else right.at
        note = why.strip()[:200] or "the hand-over was put right"
        if value is None:
            strike_reading(reading, why=note, by=by, now=now)
        elif (value, read_at) != (reading.value, reading.read_at):
            correct_reading(
                Correction(
                    reading=reading, value=value, read_at=read_at, by=by, note=note, sure=sure
                ),
                now,
            )


def _forgotten(
    row: HandOver, right: HandOverCorrection, by: Person, now: datetime, *, sure: bool
) -> list[Reading]:
    """Take the readings that were forgotten, as of the hand-over's moment."""
    machine = row.booking.machine
    return [
        take_reading(
            NewReading(
                machine=machine, kind=kind, value=value, read_at=right.at, source=Source.COUNTER,
                by=by, form_key=f"forgotten-{row.pk}-{kind}",
            ),
            now,
            ReadingAnswer.REALLY_SO if sure else "",
        )
        for kind, value in right.added.items()
    ]  # fmt: skip


def _faults_follow(
    old: HandOver, new: HandOver, right: HandOverCorrection, by: Person, now: datetime
) -> None:
    """Strike what was in order after all, note what was not; the rest is shown with the new one."""
    said = new.get_direction_display()
    was = _fault_texts(old)
    is_now = _fault_texts(new)
    noted = {finding.text: finding for finding in old.findings.filter(struck=False)}
    gone = [noted[text] for point, text in was.items() if point not in is_now and text in noted]
    strike_findings(
        [one for one in gone if one.settled_at is None],
        why="the walk-round was put right", by=by, now=now,
    )  # fmt: skip
    for point, text in is_now.items():
        finding = noted.get(was.get(point, ""))
        if finding is not None and finding.text != text:
            finding.text = text
            finding.save(update_fields=["text"])
    stays = old.findings.exclude(pk__in=[one.pk for one in gone])
    stays.filter(seen_at=old.at).update(seen_at=new.at)
    stays.update(hand_over=new)
    missed = {point: False for point in is_now if was.get(point) not in noted}
    seen = WalkRound(missed, new.note, safety=right.safety)
    note_faults(new.booking.machine, seen, said, by=by, now=now, row=new)


def _fault_texts(row: HandOver) -> dict[str, str]:
    """Return what is noted of each point of a hand-over that is not in order."""
    said = row.get_direction_display()
    wrong = [point for point, fine in row.walk_round.items() if not fine]
    return {point: fault_text(said, point, row.note) for point in wrong}


def _in_words(row: HandOver) -> dict[str, Any]:
    """Return what a hand-over says, by the names that its form has."""
    yard = row.booking.machine.yard
    values = {"at": f"{row.at.astimezone(yard.zone):%Y-%m-%d %H:%M}", "note": row.note}
    readings: list[Reading] = readings_at(row)
    for reading in readings:
        meter = reading.meter
        values[meter.get_kind_display().lower()] = show_use(reading.value, meter.kind, yard.units)
    wrong = [point.lower() for point, fine in row.walk_round.items() if not fine]
    more = particulars_of(row)
    goes = [words for words, there in more.accessories.items() if there]
    level = "" if more.level is None else f"{more.level:.0%}"
    return {
        **values, "not in order": "; ".join(wrong), "fuel or charge": level,
        "goes with it": ", ".join(goes), "taken by": more.taken_by, "use": more.use_said,
        "hours a day": more.hours_a_day, "signed": bool(more.signature),
    }  # fmt: skip
