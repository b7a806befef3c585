"""The jobs of a list in the order of the day, from what is known of each machine."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from fleet.models import HandOver
from fleet.procedures import needs_on_build, traits_of_machine
from scheduling.queries.batch_list import BatchList, ListedJob
from scheduling.queries.work_order import WARM_FOR, WorkStop, order_of_day


def in_order(listed: BatchList, now: datetime) -> BatchList:
    """Return a list with its jobs in the order in which they are taken; one query."""
    is_today = listed.shop is None or listed.day == now.astimezone(listed.shop.zone).date()
    warm = _just_in([row.job.machine_id for row in listed.open_jobs], now) if is_today else set()
    rows = {row.job.pk: row for row in listed.jobs}
    stops = [_stop(row, n, listed.day, warm) for n, row in enumerate(listed.jobs)]
    jobs = [replace(rows[one.stop.key], why=one.why) for one in order_of_day(stops)]
    done_last = sorted(jobs, key=lambda row: row.done)
    return replace(listed, jobs=done_last)


def _stop(row: ListedJob, place: int, day: date, warm: set[int]) -> WorkStop:
    machine = row.job.machine
    services = [each.work.service for each in row.open_work if each.work.service]
    drains = any(
        "oil" in need.place
        for service in services
        for need in needs_on_build(service, traits_of_machine(machine))
    )
    state = getattr(machine, "now", None)
    return WorkStop(
        key=row.job.pk,
        tag=machine.tag,
        place=place,
        state=state.state if state else "clear",
        yard=machine.yard.name if machine.yard.remote else "",
        open_in_bay=row.begun or row.job.day < day,
        warm=machine.pk in warm and drains,
        set_ups=frozenset(one.name for service in services for one in service.set_ups.all()),
    )


def _just_in(machine_ids: Sequence[int], now: datetime) -> set[int]:
    """Return which of these machines came back so lately that their oil is warm; one query."""
    rows = HandOver.objects.filter(
        booking__machine__in=machine_ids,
        direction=HandOver.Direction.BACK,
        at__gt=now - WARM_FOR,
        at__lte=now,
    )
    return set(rows.values_list("booking__machine", flat=True))
