"""A job sheet with what is done on an occasion: before hire, at return, around storage."""

from dataclasses import replace

from fleet.queries.occasion_services import occasion_services
from fleet.work_keys import service_key
from scheduling.queries.job_sheet import JobSheet, SheetWork, sheet_services


def with_asked(sheet: JobSheet, asked: str) -> JobSheet:
    """Return a sheet with a service of an occasion beside what is planned; as it is of no such.

    asked: the service's key, as the address of the sheet says it; "": none.
    """
    services = {str(one.service.pk): one for one in occasion_services(sheet.machine, sheet.day)}
    chosen = services.get(asked)
    if chosen is None:
        return sheet
    service = sheet_services().get(pk=chosen.service.pk)
    key = service_key(sheet.machine.pk, service.pk)
    if any(one.work_key == key for one in sheet.planned):
        return replace(sheet, asked=service)
    offered = {one.work_key: one for one in sheet.offered}
    new = SheetWork(key, sheet.machine, service, None, None, None, service.minutes)
    work = offered.pop(key, new)
    return replace(
        sheet,
        planned=[*sheet.planned, work],
        offered=list(offered.values()),
        minutes=sheet.minutes + work.minutes,
        asked=service,
    )
