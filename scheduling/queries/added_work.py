"""Work that a mechanic puts on a sheet though it is neither planned nor nearly due."""

from collections.abc import Iterable
from dataclasses import replace

from django.db.models import QuerySet

from fleet.models import Service
from fleet.queries.procedures_taken import services_of_makeup
from fleet.work_keys import ServiceKey, key_if_any, service_key
from scheduling.models import DuePoint
from scheduling.queries.job_sheet import JobSheet, SheetWork, sheet_services, with_words


def with_added(sheet: JobSheet, keys: Iterable[str]) -> JobSheet:
    """Return a sheet with the services of these keys too; three queries, none of no key.

    A key of another machine, or of a service that its make-up does not have, adds nothing; so does
    work that is on the sheet already.
    """
    machine = sheet.machine
    found = {key_if_any(text) for text in keys if sheet.find(text) is None}
    wanted = {key.service for key in found if isinstance(key, ServiceKey)}
    wanted_here = {pk for pk in wanted if service_key(machine.pk, pk) in set(keys)}
    if not wanted_here:
        return sheet
    of_makeup = services_of_makeup(machine.makeup).filter(pk__in=wanted_here).order_by()
    rows = sheet_services().filter(pk__in=of_makeup.values("pk")).order_by("name")
    points = DuePoint.objects.filter(machine=machine, service__in=wanted_here)
    due = {point.service_id: point for point in points}
    work = [
        SheetWork(
            service_key(machine.pk, row.pk), machine, row, None, due.get(row.pk), None, row.minutes
        )
        for row in rows
    ]
    return replace(sheet, added=with_words(work))


def can_be_added(sheet: JobSheet) -> QuerySet[Service]:
    """Return the services of the make-up that are not on the sheet, by name; one query.

    What planned work counts as too is on it.
    """
    shown = {one.service_id for one in sheet.work if one.service_id}
    shown |= {service.pk for one in sheet.planned for service in one.also}
    return services_of_makeup(sheet.machine.makeup).exclude(pk__in=shown)
