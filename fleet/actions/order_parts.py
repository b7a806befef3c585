"""What lacks on the shelf goes onto the order list; it is ordered, received, and put right."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from fleet.actions.count_stock import count_shelf, strike_movement
from fleet.actions.delay_deliveries import machines_waiting
from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.remember_acts import add_to_act
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import (
    Act,
    Delivery,
    OrderedFor,
    OrderLine,
    Part,
    Person,
    Shop,
    StockMovement,
)
from fleet.refusal import Refusal


@dataclass(frozen=True)
class MissingPart:
    """What a mechanic did not find: needed and found in pieces or mL, by which day.

    jobs: what it is for, as rows of no line yet.
    """

    part: Part
    shop: Shop
    needed: float
    found: float
    need_by: date
    jobs: Sequence[OrderedFor] = ()


@transaction.atomic
def miss_part(missing: MissingPart, *, by: Person, now: datetime) -> OrderLine | None:
    """Say that a part is not on the shelf as the book has it; pressed twice it is said once.

    1. The shelf is counted, so that the book says what is there, with who and when.
    2. What lacks goes onto the order list; a substitute that stands in does not restock it.
    """
    part, shop = missing.part, missing.shop
    count = count_shelf(part, shop, missing.found, by=by, now=now, note="not on the shelf")
    tell(machines_waiting(part, shop.pk))
    lacks, there = missing.needed - missing.found, _open_line(missing)
    if lacks <= 0:
        return None
    line = _put_on_list(missing, lacks, by, now)
    if count is not None and there is None:  # undone, it was never missed, and nothing is ordered
        add_to_act(Act.What.COUNT, ("movement", count), "order line", line)
    return line


@transaction.atomic
def order_more(missing: MissingPart, *, by: Person, now: datetime) -> OrderLine:
    """Put onto the order list what the work of the next weeks takes beyond what is there.

    The caller holds the shop's row and knows what stands on the list already.
    """
    lacks, line = missing.needed - missing.found, _open_line(missing)
    if line is None:
        return _new_line(missing, lacks, by, now)
    return _add_to(line, missing, lacks, by, now)


def _open_line(missing: MissingPart) -> OrderLine | None:
    rows = OrderLine.objects.select_for_update(no_key=True)
    own = rows.filter(part=missing.part, shop=missing.shop)
    return own.filter(ordered_at=None, dropped_at=None).first()


def _new_line(missing: MissingPart, lacks: float, by: Person, now: datetime) -> OrderLine:
    line = OrderLine.objects.create(
        part=missing.part, shop=missing.shop, quantity=lacks, need_by=missing.need_by,
        asked_at=now, asked_by=by,
    )  # fmt: skip
    _name_jobs(line, missing.jobs)
    return line


def _put_on_list(missing: MissingPart, lacks: float, by: Person, now: datetime) -> OrderLine:
    line = _open_line(missing)
    if line is None:
        return _new_line(missing, lacks, by, now)
    if _planned(missing.jobs) <= _planned(line.jobs.all()):
        return line
    return _add_to(line, missing, lacks, by, now)


def _add_to(
    line: OrderLine, missing: MissingPart, lacks: float, by: Person, now: datetime
) -> OrderLine:
    fields = ["quantity", "need_by"]
    before = values_of(line, fields) | _jobs_of(line)
    line.quantity += lacks
    line.need_by = min(line.need_by, missing.need_by)
    line.save(update_fields=fields)
    _name_jobs(line, missing.jobs)
    after = values_of(line, fields) | _jobs_of(line)
    keep_change(line, "changed", differences(before, after), by=by, now=now)
    return line


def _planned(jobs: Iterable[OrderedFor]) -> set[tuple[int, int]]:
    """Return work that stands on a shop day: whatever that day is, its part is asked for once."""
    return {(job.machine_id, job.service_id) for job in jobs if job.planned}


def _name_jobs(line: OrderLine, jobs: Iterable[OrderedFor]) -> None:
    """Keep for which jobs a line is, each once."""
    there = {job.key for job in line.jobs.all()}
    new = {job.key: job for job in jobs if job.key not in there}
    for job in new.values():
        job.line = line
    OrderedFor.objects.bulk_create(new.values())


def _jobs_of(line: OrderLine) -> dict[str, str]:
    jobs = line.jobs.select_related("machine", "service")
    return {"for": "; ".join(str(job) for job in jobs)}


@transaction.atomic
def order_line(line: OrderLine, expected_on: date, *, by: Person, now: datetime) -> OrderLine:
    """Say that a part is ordered and when it is expected; the plan counts on it from then."""
    line = _locked(line)
    if line.ordered_at:
        return line
    _refuse_unless(line, "to order")
    today = now.astimezone(line.shop.zone).date()
    if expected_on < today:
        raise Refusal("It cannot be expected on a day that has gone by.", "expected_on")
    line.delivery = Delivery.objects.create(
        part=line.part, shop=line.shop, quantity=line.to_buy, ordered_on=today,
        expected_on=expected_on,
    )  # fmt: skip
    line.ordered_at, line.ordered_by = now, by
    return _save(line, "ordered", by, now)


@transaction.atomic
def receive_line(line: OrderLine, *, by: Person, now: datetime) -> OrderLine:
    """Say that what was ordered has come: it lies on the shelf from now on."""
    line = _locked(line)
    if line.received_at or line.delivery is None:
        return line
    line.movement = StockMovement.objects.create(
        part=line.part, shop=line.shop, quantity=line.to_buy, at=now, by=by,
        reason=StockMovement.Reason.RECEIVED, note="from the order list",
    )  # fmt: skip
    Delivery.objects.filter(pk=line.delivery.pk).update(received_at=now)
    line.received_at, line.received_by = now, by
    return _save(line, "received", by, now)


@transaction.atomic
def drop_line(line: OrderLine, *, by: Person, now: datetime) -> OrderLine:
    """Take a part off the list that is not wanted after all."""
    line = _locked(line)
    if line.dropped_at:
        return line
    _refuse_unless(line, "to order")
    line.dropped_at, line.dropped_by = now, by
    return _save(line, "dropped", by, now)


@transaction.atomic
def take_line_back(line: OrderLine, *, by: Person, now: datetime) -> OrderLine:
    """Take the last step of a line back: not received, not ordered, or wanted after all."""
    line = _locked(line)
    state = line.state
    if state == "received" and line.movement and line.delivery:
        strike_movement(line.movement, why="received by mistake", by=by, now=now)
        Delivery.objects.filter(pk=line.delivery.pk).update(received_at=None)
        line.received_at = line.received_by = line.movement = None
    elif state == "to order":
        return line
    else:
        _refuse_second(line)
        if line.delivery:
            Delivery.objects.filter(pk=line.delivery.pk).update(called_off_at=now)
        line.ordered_at = line.ordered_by = line.delivery = None
        line.dropped_at = line.dropped_by = None
    return _save(line, "taken back", by, now)


def _refuse_second(line: OrderLine) -> None:
    """Refuse to open a line again beside another one of the same part."""
    rows = OrderLine.objects.filter(part=line.part, shop=line.shop)
    if rows.filter(ordered_at=None, dropped_at=None).exclude(pk=line.pk).exists():
        raise Refusal(f"{line.part.name} stands on the list again already; change that line.")


def _locked(line: OrderLine) -> OrderLine:
    rows = OrderLine.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("part", "shop", "delivery", "movement").get(pk=line.pk)


def _refuse_unless(line: OrderLine, state: str) -> None:
    if line.state != state:
        raise Refusal(f"{line.part.name} is {line.state} already.")


def _save(line: OrderLine, act: str, by: Person, now: datetime) -> OrderLine:
    line.save()
    keep_change(line, act, by=by, now=now)
    tell(machines_waiting(line.part, line.shop_id))
    return line
