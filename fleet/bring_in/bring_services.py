"""Rows of past services: what was done to a machine, when, and what its meters showed then."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from fleet.bring_in.import_run import ImportRun, LaterReading, go_through
from fleet.bring_in.make_missing import service_named
from fleet.bring_in.meter_values import one_value, shown_values
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import said_once
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.models import Machine, Meter, RecordedMeter, Service, ServiceRecord
from fleet.possible_values import odd_minutes
from fleet.quantities import show_use
from fleet.queries.standing_records import standing_records

LONGEST = 30_000
"""Minutes of one service at most (500 h)."""


@dataclass
class Book:
    """What the book has of machines: values by machine, service and day; and values by meter."""

    done: dict[tuple[int, int, date], dict[str, float]] = field(default_factory=dict)
    shown: dict[int, list[tuple[date, float, int]]] = field(
        default_factory=lambda: defaultdict(list)
    )


def bring_services(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring past services in; an entry that the book has is not written again."""
    book = _book(run)
    go_through(sheet, run, lambda row, run: _service(row, run, book))
    _doubt_backward(sheet, run, book)


def _book(run: ImportRun) -> Book:
    """Load the standing entries of all machines: day of the yard, and what meters showed."""
    book = Book()
    machines = run.site.by_pk
    services = {one.pk: one for one in run.site.services.exact.values() if one.pk}
    by_record = {}
    rows = standing_records().exclude(service=None).order_by()
    for pk, machine_id, service_id, done_at in rows.values_list(
        "pk", "machine_id", "service_id", "done_at"
    ):
        machine, service = machines[machine_id], services[service_id]
        day = done_at.astimezone(machine.yard.zone).date()
        place = (id(machine), id(service), day)
        by_record[pk] = book.done.setdefault(place, {})
    noted = RecordedMeter.objects.filter(record__service__isnull=False).order_by()
    for record_id, kind, value in noted.values_list("record_id", "meter__kind", "value"):
        if record_id in by_record:
            by_record[record_id][kind] = value
    return book


def _service(row: SheetRow, run: ImportRun, book: Book) -> bool:
    machine = run.machine(row.text("tag"))
    name = row.text("service")
    if not name:
        raise RowTrouble("No service is named; write what was done.")
    if not row.text("date"):
        raise RowTrouble("No date is given; write when it was done.")
    when = row.moment("date", machine.yard.zone, run.now)
    day = when.at.astimezone(machine.yard.zone).date()
    if when.at > run.now:
        raise RowTrouble(f"{day} is still to come; past services alone come in here.")
    if machine.started_on and day < machine.started_on:
        raise RowTrouble(f"{machine.tag} started work on {machine.started_on}, after {day}.")
    minutes = row.whole("minutes", 0, LONGEST)
    cost = row.amount("cost", 0, 10**7)
    values = _values(row, run, machine)
    service = service_named(name, run)
    if minutes and not service.several_days and (oddity := odd_minutes(minutes)):
        row.doubt(oddity.sentence)
    place = (id(machine), id(service), day)
    if place in book.done:
        return _known(book.done[place], values, machine, service, day)
    record = ServiceRecord(
        machine=machine, service=service, done_at=when.at, minutes=minutes,
        note=row.text("notes"), entered_by=run.by, entered_at=run.now,
        cost=None if cost is None else Decimal(f"{cost:.2f}"),
    )  # fmt: skip
    _by_whom(row, run, record)
    run.make(record)
    book.done[place] = values
    said = day.isoformat() if when.day_only else when.at.isoformat(" ", "seconds")
    for kind, value in values.items():
        meter = run.meter_of(machine, kind, when.at)
        if meter is None:
            row.doubt(f"{machine.tag} had no such meter on {day}; the value is left out.")
            continue
        run.make(RecordedMeter(record=record, meter=meter, value=value))
        run.later.append(LaterReading(machine, kind, value, said))
        book.shown[id(meter)].append((day, value, row.line))
    run.concern(machine)
    return True


def _values(row: SheetRow, run: ImportRun, machine: Machine) -> dict[str, float]:
    units = machine.yard.units
    values: dict[str, float] = dict(shown_values(row, units))
    if one := one_value(row, "meter", run.site.has_kinds(machine), units):
        values.setdefault(*one)
    return values


def _by_whom(row: SheetRow, run: ImportRun, record: ServiceRecord) -> None:
    """Name who did it; somebody unknown is kept in the note."""
    name = row.text("by")
    if not name:
        return
    record.done_by = said_once(run.site.people, name, "person")
    if record.done_by is None:
        record.note = f"{record.note} By {name}.".strip()


def _known(
    before: dict[str, float],
    values: dict[str, float],
    machine: Machine,
    service: Service,
    day: date,
) -> bool:
    """Take an entry that the book has as the same, unless it says another meter."""
    units = machine.yard.units
    for kind, value in values.items():
        if kind in before and abs(before[kind] - value) > 0.05 * max(1.0, value / 1000):
            raise RowTrouble(
                f"The book has {service} on {machine.tag} on {day} with"
                f" {show_use(before[kind], kind, units)} already; correct it on the machine's page."
            )
    return False


def _doubt_backward(sheet: TypedSheet, run: ImportRun, book: Book) -> None:
    """Tell where a meter of this sheet went backwards from one service to a later one."""
    meters = {
        id(row.meter): row.meter
        for row in run.pending[RecordedMeter]
        if isinstance(row, RecordedMeter)
    }
    for place, shown in book.shown.items():
        meter: Meter = meters[place]
        units = meter.machine.yard.units
        highest, highest_day = 0.0, date.min
        for day, value, line in sorted(shown):
            if value < highest and day > highest_day:
                sheet.report.doubt(
                    line,
                    f"{meter.machine.tag} showed {show_use(value, meter.kind, units)} on {day},"
                    f" less than the {show_use(highest, meter.kind, units)} of {highest_day}.",
                )
            elif value >= highest:
                highest, highest_day = value, day
