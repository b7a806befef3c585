"""Decisions against or about the schedule: sent out anyway, pin, put off, publish."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypedDict

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.actions.remember_acts import remember_act
from fleet.changed_facts import tell
from fleet.models import (
    Act,
    Booking,
    Machine,
    Override,
    Person,
    Pin,
    PutOff,
    Release,
    Service,
    ServiceRecord,
    Shop,
    WorkEstimate,
)
from fleet.queries.covered_services import covered_on, covered_services
from fleet.refusal import Refusal
from fleet.work_keys import service_key

LONGEST_WORK = 6000
"""Minutes; 100 hours of one piece of work are more likely a slip of the finger."""


class ReleasedWork(TypedDict):
    """One piece of work of a published plan; day is an ISO date, mechanic a username."""

    work_key: str
    day: str
    mechanic: str


def override_block(
    booking: Booking,
    *,
    against: str,
    reason: str,
    by: Person,
    now: datetime,
    service: Service | None = None,
) -> Override:
    """Let a machine out against a block that is not hard, with a name and a reason.

    service: the one that is not done first, where it is about one.
    """
    if len(reason.strip()) < 5:
        raise Refusal("Say in a few words why it goes out anyway; it stays on record.", "reason")
    about = {"booking": booking, "machine_id": booking.machine_id, "against": against[:400]}
    with transaction.atomic(savepoint=False):
        row = Override.objects.filter(**about, struck=False).first()
        if row is None:
            row = Override.objects.create(
                **about, service=service, reason=reason.strip(), by=by, at=now
            )
        tell({booking.machine_id})
    return row


@transaction.atomic
def take_back_override(row: Override, *, why: str, by: Person, now: datetime) -> None:
    """Take back that a machine goes anyway, while it is still here; twice is once.

    Raises:
        Refusal: no reason is said, or the machine has gone out since it was decided.

    """
    row = Override.objects.select_for_update(of=("self",), no_key=True).get(pk=row.pk)
    if row.struck:
        return
    if not why.strip():
        raise Refusal("Say why it is taken back.", "why")
    if row.booking.hand_overs.filter(at__gte=row.at).exists():
        raise Refusal("It has been handed over since; undo the hand-over instead.")
    row.struck = True
    row.save(update_fields=["struck"])
    keep_change(row, Override.TAKEN_BACK, by=by, now=now, reason=why)
    tell({row.machine_id})


def answer_for_safety(
    booking: Booking, *, against: str, reason: str, by: Person, now: datetime
) -> Override:
    """Keep by whom and why a machine goes, or stays free, although something is not safe.

    Inside the transaction of a hand-over, which is written once; so this is new each time.
    """
    row = Override.objects.create(
        booking=booking, machine_id=booking.machine_id, against=against[:400],
        reason=reason.strip(), by=by, at=now,
    )  # fmt: skip
    tell({booking.machine_id})
    return row


@dataclass(frozen=True)
class PinPlace:
    """Where work is put: a day, and a mechanic if one is named."""

    day: date
    mechanic: Person | None = None


@transaction.atomic
def pin(machine: Machine, work_key: str, place: PinPlace, *, by: Person, now: datetime) -> Pin:
    """Fix work to a day; an earlier pin of the same work is lifted and stays on record."""
    standing = Pin.objects.filter(work_key=work_key, lifted_at=None).first()
    if standing and (standing.day, standing.mechanic) == (place.day, place.mechanic):
        return standing
    if standing:
        _lift([standing], by, now)
    row = Pin.objects.create(
        machine=machine,
        work_key=work_key,
        day=place.day,
        mechanic=place.mechanic,
        by=by,
        at=now,
    )
    tell({machine.pk})
    return row


@transaction.atomic
def lift_pin(work_key: str, *, by: Person, now: datetime) -> None:
    """Let the plan choose again where this work goes."""
    pins = list(Pin.objects.filter(work_key=work_key, lifted_at=None))
    _lift(pins, by, now)
    tell({row.machine_id for row in pins})


def lift_served(records: Sequence[ServiceRecord], *, by: Person | None, now: datetime) -> None:
    """Lift the pins that work has served, else the plan would have it done again there.

    What was said of how long it takes is lifted with them: it was said of this time alone.

    A service serves the pins of those it covers; work done before a pin was set does not serve it.
    """
    if not any(record.service_id for record in records):
        return
    machines = {record.machine_id for record in records}
    set_before: list[Pin | WorkEstimate] = [
        *Pin.objects.filter(machine__in=machines, lifted_at=None),
        *WorkEstimate.objects.filter(machine__in=machines, lifted_at=None),
    ]
    if not set_before:
        return
    served: dict[str, datetime] = {}
    covered = covered_services()
    makeups = dict(Machine.objects.filter(pk__in=machines).values_list("pk", "makeup_id"))
    for record in records:
        done = covered.done_with(makeups[record.machine_id], record.service_id)
        for service in done - record.services_left_out:
            key = service_key(record.machine_id, service)
            served[key] = max(record.done_at, served.get(key, record.done_at))
    fulfilled = [row for row in set_before if row.work_key in served]
    _lift([row for row in fulfilled if row.at <= served[row.work_key]], by, now)


def take_back_served(record: ServiceRecord) -> None:
    """Let pins and estimates stand again that an entry lifted which was not so after all.

    One that was set on the same work since then stays as it is.
    """
    keys = [service_key(record.machine_id, service) for service in services_done(record)]
    for rows in (Pin.objects, WorkEstimate.objects):
        set_since = rows.filter(work_key__in=keys, lifted_at=None).values("work_key")
        lifted = rows.filter(work_key__in=keys, lifted_at=record.entered_at)
        lifted.exclude(work_key__in=set_since).update(lifted_at=None, lifted_by=None)


def services_done(record: ServiceRecord) -> set[int]:
    """Return the services that an entry did on its machine; none for a repair."""
    if record.service_id is None:
        return set()
    makeup = record.machine.makeup_id
    return covered_on(makeup).done_with(makeup, record.service_id)


def _lift(pins: Sequence[Pin | WorkEstimate], by: Person | None, now: datetime) -> None:
    for row in pins:
        row.lifted_at, row.lifted_by = now, by
        row.save(update_fields=["lifted_at", "lifted_by"])


@transaction.atomic
def estimate(
    machine: Machine, work_key: str, minutes: int, *, reason: str, by: Person, now: datetime
) -> WorkEstimate:
    """Say how long this piece of work takes this time; an earlier word is lifted, and kept."""
    if not 0 < minutes <= LONGEST_WORK:
        raise Refusal("Say how long it takes in all, up to 100 hours.", "minutes")
    standing = WorkEstimate.objects.filter(work_key=work_key, lifted_at=None).first()
    if standing and standing.minutes == minutes:
        return standing
    if standing:
        _lift([standing], by, now)
    row = WorkEstimate.objects.create(
        machine=machine, work_key=work_key, minutes=minutes, reason=reason, by=by, at=now
    )
    tell({machine.pk})
    return row


@transaction.atomic
def put_off(
    machine: Machine, work_key: str, day: date, *, reason: str, by: Person, now: datetime
) -> PutOff:
    """Put work off from a shop day, and say why; the plan finds it another."""
    if not reason.strip():
        raise Refusal("Say why it is put off: a part missing, the machine away, no time.", "reason")
    row, made = PutOff.objects.get_or_create(
        work_key=work_key,
        day=day,
        defaults={"machine": machine, "reason": reason.strip(), "by": by, "at": now},
    )
    if made:
        _lift(list(Pin.objects.filter(work_key=work_key, day__lte=day, lifted_at=None)), by, now)
        tell({machine.pk})
    return row


@transaction.atomic
def put_off_all(
    machine: Machine, work_keys: Iterable[str], day: date, *, reason: str, by: Person, now: datetime
) -> list[PutOff]:
    """Put several pieces of a machine's work off from a shop day: all of them, or none."""
    rows = [put_off(machine, key, day, reason=reason, by=by, now=now) for key in work_keys]
    words = f"the work of {machine.tag} put off"
    fresh = [row for row in rows if row.at == now]
    remember_act(Act.What.PUT_OFF, words, {"put off": fresh}, by=by, now=now, machine=machine)
    return rows


@transaction.atomic
def take_back_put_off(row: PutOff, *, why: str, by: Person, now: datetime) -> None:
    """Let work stand on its day again, and the pin that putting it off had lifted."""
    row.lifted_at, row.lifted_by = now, by
    row.save(update_fields=["lifted_at", "lifted_by"])
    if not Pin.objects.filter(work_key=row.work_key, lifted_at=None).exists():
        lifted = Pin.objects.filter(work_key=row.work_key, lifted_at=row.at)
        lifted.update(lifted_at=None, lifted_by=None)
    keep_change(row, "taken back", by=by, now=now, reason=why)
    tell({row.machine_id})


@dataclass(frozen=True)
class Span:
    """First and last day of what is published, both included."""

    first_day: date
    last_day: date


@transaction.atomic
@transaction.atomic
def publish(
    shop: Shop, span: Span, jobs: Sequence[ReleasedWork], *, by: Person | None, now: datetime
) -> Release:
    """Publish a plan to the mechanics; publishing the same again adds nothing.

    The shop's row is locked, so that two who publish at once are compared one after the other.
    """
    Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)
    last = shop.releases.first()
    same = last and (last.first_day, last.last_day, last.jobs) == (
        span.first_day,
        span.last_day,
        list(jobs),
    )
    if last and same:
        return last
    return Release.objects.create(
        shop=shop, at=now, by=by, first_day=span.first_day, last_day=span.last_day, jobs=list(jobs)
    )
