"""Work that was done on a phone without a signal, and that somebody else has written since.

Both stand: what comes in late is written beside what is in the book, never in its place, and each
says so of the other.
"""

from collections.abc import Sequence
from dataclasses import replace

from fleet.models import Finding, Machine, Service, ServiceRecord
from fleet.work_keys import RepairKey, ServiceKey, key_if_any, repair_key, service_key
from scheduling.queries.job_sheet import (
    JobSheet,
    SheetWork,
    sheet_services,
    with_covered_beside,
)


def with_work_done_meanwhile(sheet: JobSheet, ticked: Sequence[str]) -> JobSheet:
    """Return a sheet that has the ticked work too that has left it since; few queries for that."""
    gone = {text: key_if_any(text) for text in ticked if sheet.find(text) is None}
    if not gone:
        return sheet
    machine = sheet.machine
    services = [key.service for key in gone.values() if isinstance(key, ServiceKey)]
    findings = [key.finding for key in gone.values() if isinstance(key, RepairKey)]
    work = [
        *(_service_work(machine, row) for row in sheet_services().filter(pk__in=services)),
        *(_repair_work(machine, row) for row in machine.findings.filter(pk__in=findings)),
    ]
    # a key of another machine's service finds the service, but is no work of this machine
    meant = [one for one in work if one.work_key in gone]
    named = with_covered_beside(replace(sheet, planned=meant, offered=[])).planned
    return replace(sheet, offered=[*sheet.offered, *named])


def say_beside(sheet: JobSheet, work: Sequence[SheetWork]) -> list[str]:
    """Say of work that comes in late which entry stands in the book already; one query.

    With the date in figures, since the sentence goes into the book too.
    """
    zone = sheet.machine.yard.zone
    said = []
    for row in _standing(sheet.machine, [one for one in work if _has_left(one)]):
        at = row.done_at.astimezone(zone)
        what = row.service or "a repair"
        said.append(f"{row.done_by} wrote {what} into the book at {at:%Y-%m-%d %H:%M}; both stand.")
    return said


def _has_left(work: SheetWork) -> bool:
    """Whether work stands on a sheet for what came in late alone."""
    if work.finding:
        return work.finding.settled_at is not None
    return work.planned is None and work.due_point is None


def _standing(machine: Machine, work: Sequence[SheetWork]) -> list[ServiceRecord]:
    """Return the last entry of each service, and the entry that settled each finding."""
    services = {one.service.pk for one in work if one.service}
    settled = {one.finding.settled_during_id for one in work if one.finding}
    if not work:
        return []
    rows = machine.records.filter(corrected_by=None, void=False).select_related(
        "service", "done_by"
    )
    last: dict[int, ServiceRecord] = {}
    for row in rows.order_by("done_at", "pk"):
        if row.service_id in services:
            last[row.service_id or 0] = row
        elif row.pk in settled:
            last[-row.pk] = row
    return list(last.values())


def _service_work(machine: Machine, service: Service) -> SheetWork:
    key = service_key(machine.pk, service.pk)
    return SheetWork(key, machine, service, None, None, None, service.minutes)


def _repair_work(machine: Machine, finding: Finding) -> SheetWork:
    key = repair_key(finding.pk)
    return SheetWork(key, machine, None, finding, None, None, finding.minutes)
