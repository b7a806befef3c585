"""Two entries of one machine become one: the other stays as a retired one that leads to it."""

from datetime import date, datetime
from itertools import product

from django.db import models, transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.join_meters import join_meters
from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.keep_times import retime
from fleet.actions.retire_machines import lift_pins
from fleet.changed_facts import tell
from fleet.identity import same_serial
from fleet.logged_words import values_of
from fleet.models import (
    Act,
    Alteration,
    Booking,
    FaultSearch,
    FeedKey,
    Finding,
    FormerTag,
    Hold,
    Interval,
    LastDoneAnswer,
    LoggedChange,
    Machine,
    OrderedFor,
    Override,
    Person,
    Progress,
    PutOff,
    ReadingToMend,
    ServiceRecord,
    SheetEntry,
    Storage,
    Waiting,
    WorkEstimate,
    WorkPhoto,
)
from fleet.refusal import Refusal
from fleet.saying import say_span
from fleet.work_keys import ServiceKey, key_if_any, service_key

GOES_OVER: tuple[type[models.Model], ...] = (
    ServiceRecord, Finding, Hold, Booking, Override, Alteration, Storage, ReadingToMend, FormerTag,
    LoggedChange, LastDoneAnswer, Act, Waiting, SheetEntry, FaultSearch,
    OrderedFor,
)  # fmt: skip
"""Facts that go to the entry that stays as they are; those that name work are called anew."""

KEPT_FIELDS = ["serial", "year", "started_on", "day_rate", "notes"]
GONE_FIELDS = ["retired_on", "retired_why"]


@transaction.atomic
def merge_machines(
    keep: Machine, gone: Machine, *, reason: str, by: Person, now: datetime, sure: bool = False
) -> Machine:
    """Make one machine of two entries: all facts go to `keep`; the other leads to it; once.

    sure: the person says that it is one machine although the serials differ.
    """
    lock_machines([keep.pk, gone.pk])
    keep.refresh_from_db()
    gone.refresh_from_db()
    if gone.merged_into_id == keep.pk:
        return keep
    today = now.astimezone(keep.yard.zone).date()
    _refuse(keep, gone, today, sure=sure)
    before = values_of(keep, KEPT_FIELDS)
    join_meters(keep, gone, now)
    for model in GOES_OVER:
        model._default_manager.filter(machine=gone).update(machine=keep)
    retime([keep.pk])
    _move_feeds(keep, gone)
    _move_photos(keep, gone, by, now)
    _move_named_work(keep, gone, now, by)
    _move_intervals(keep, gone)
    lift_pins(gone, by=by, now=now)
    _fill(keep, gone)
    _leave_pointer(keep, gone, today, by, now, reason)
    changed = differences(before, values_of(keep, KEPT_FIELDS))
    keep_change(keep, f"merged with {gone.tag}", changed, by=by, now=now, reason=reason)
    tell({keep.pk, gone.pk})
    return keep


def _move_feeds(keep: Machine, gone: Machine) -> None:
    """A calendar that follows the other entry goes on with the one that stays, if none does yet."""
    feeds = FeedKey.objects.filter(machine=gone)
    if FeedKey.objects.filter(machine=keep, revoked_at=None).exists():
        feeds = feeds.exclude(revoked_at=None)
    feeds.update(machine=keep)


def _move_photos(keep: Machine, gone: Machine, by: Person, now: datetime) -> None:
    """Photos of steps go over; one that stands on both is struck on the entry that goes."""
    there = WorkPhoto.objects.filter(machine=keep, struck_at=None).values("digest")
    twice = WorkPhoto.objects.filter(machine=gone, struck_at=None, digest__in=there)
    twice.update(struck_at=now, struck_by=by, struck_why=f"the same photo stands on {keep}"[:200])
    WorkPhoto.objects.filter(machine=gone).update(machine=keep)


def _refuse(keep: Machine, gone: Machine, today: date, *, sure: bool) -> None:
    if keep == gone:
        raise Refusal("That is the same entry; name the other one.", "other")
    for one in (keep, gone):
        if one.merged_into_id:
            raise Refusal(f"{one} was merged already; take {one.merged_into} instead.", "other")
    if keep.retired_on:
        raise Refusal(f"{keep} is retired; bring it back first, or let {gone} stay.", "other")
    if keep.serial and gone.serial and not same_serial(keep.serial, gone.serial) and not sure:
        raise Refusal(
            f"Their serials differ, {keep.serial} and {gone.serial}: two machines, or one plate"
            " misread. Look at the frame, then say that it is one machine.",
            "sure",
        )
    _refuse_both_promised(keep, gone, today)


def _refuse_both_promised(keep: Machine, gone: Machine, today: date) -> None:
    """Refuse where both were promised for one day: one machine cannot be in two places."""
    ours, theirs = (
        list(Booking.objects.filter(machine=one, cancelled_at=None)) for one in (keep, gone)
    )
    for one, two in product(ours, theirs):
        if one.starts_at < two.ends_at and two.starts_at < one.ends_at:
            raise Refusal(
                f"Both are booked on some of the same days: {keep} for {one.customer},"
                f" {say_span(one.first_day, one.last_day, today)}, and {gone} for {two.customer},"
                f" {say_span(two.first_day, two.last_day, today)}. Put that right first; if both"
                " really went out, they are two machines."
            )


def _move_named_work(keep: Machine, gone: Machine, now: datetime, by: Person) -> None:
    """Move what people said of pieces of work, under the key of the entry that stays."""
    for progress in Progress.every.filter(machine=gone):
        progress.machine, progress.work_key = keep, _renamed(progress.work_key, keep)
        progress.save(update_fields=["machine", "work_key"])
    said = set(PutOff.objects.filter(machine=keep).values_list("work_key", "day"))
    for row in PutOff.objects.filter(machine=gone):
        if ((key := _renamed(row.work_key, keep)), row.day) not in said:
            row.machine, row.work_key = keep, key
            row.save(update_fields=["machine", "work_key"])
    standing = WorkEstimate.objects.filter(machine=keep, lifted_at=None)
    known = set(standing.values_list("work_key", flat=True))
    for word in WorkEstimate.objects.filter(machine=gone, lifted_at=None):
        key = _renamed(word.work_key, keep)
        if key in known:
            word.lifted_at, word.lifted_by = now, by
        else:
            word.machine, word.work_key = keep, key
        word.save(update_fields=["machine", "work_key", "lifted_at", "lifted_by"])


def _renamed(work_key: str, keep: Machine) -> str:
    key = key_if_any(work_key)
    return service_key(keep.pk, key.service) if isinstance(key, ServiceKey) else work_key


def _move_intervals(keep: Machine, gone: Machine) -> None:
    """Move intervals of its own; where the entry that stays has one for the service, that holds."""
    own = set(Interval.objects.filter(machine=keep).values_list("service", flat=True))
    Interval.objects.filter(machine=gone).exclude(service__in=own).update(machine=keep)


def _fill(keep: Machine, gone: Machine) -> None:
    """Take from the other entry what the one that stays does not say."""
    keep.serial = keep.serial or gone.serial
    keep.year = keep.year or gone.year
    keep.day_rate = gone.day_rate if keep.day_rate is None else keep.day_rate
    starts = [day for day in (keep.started_on, gone.started_on) if day]
    keep.started_on = min(starts, default=None)
    keep.notes = "\n".join(text for text in (keep.notes, gone.notes) if text)
    keep.save(update_fields=KEPT_FIELDS)


def _leave_pointer(
    keep: Machine, gone: Machine, today: date, by: Person, now: datetime, reason: str
) -> None:
    """Retire the other entry, and let whatever leads to it lead on."""
    before = values_of(gone, GONE_FIELDS)
    gone.merged_into = keep
    gone.retired_on = gone.retired_on or today
    gone.retired_why = f"entered twice: one machine with {keep.tag}"
    gone.save(update_fields=["merged_into", *GONE_FIELDS])
    Machine.objects.filter(merged_into=gone).update(merged_into=keep)
    changed = differences(before, values_of(gone, GONE_FIELDS))
    row = keep_change(gone, f"merged into {keep.tag}", changed, by=by, now=now, reason=reason)
    row.machine = keep
    row.save(update_fields=["machine"])
