"""What was done to a shop's machines in some days, and what else those days were like."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta

from django.db.models import Exists, F, OuterRef

from fleet.models import Absence, Booking, ClosedDay, Finding, PutOff, Shop
from fleet.models.book import numbers_in
from fleet.queries.covered_services import covered_services
from fleet.queries.standing_records import standing_records
from scheduling.hindsight.list_entries import Deed
from scheduling.hindsight.list_outcomes import LONGEST_EARLY, LONGEST_LATE, DayCircumstances

A_DAY = timedelta(days=1)


def load_deeds(shop: Shop, first: date, last: date) -> list[Deed]:
    """Load what was done around these days and can be the work of their lists; three queries."""
    start, _ = shop.span_of(first - timedelta(days=LONGEST_EARLY))
    _, end = shop.span_of(last + timedelta(days=LONGEST_LATE))
    return [*_services(shop, start, end), *_repairs(shop, start, end)]


def _services(shop: Shop, start: datetime, end: datetime) -> Iterable[Deed]:
    rows = standing_records().filter(machine__yard__shop=shop, done_at__gte=start, done_at__lt=end)
    covered = covered_services()
    fields = ("pk", "machine_id", "machine__makeup_id", "service_id", "done_at", "entered_at",
              "minutes", "left_out")  # fmt: skip
    for pk, machine, makeup, service, done_at, entered, minutes, without in rows.values_list(
        *fields
    ):
        services = frozenset(covered.done_with(makeup, service)) - numbers_in(without)
        day = done_at.astimezone(shop.zone).date()
        yield Deed(pk, machine, day, entered, services, minutes=minutes)


def _repairs(shop: Shop, start: datetime, end: datetime) -> Iterable[Deed]:
    """Yield findings that were settled: their minutes stand in the book, where a record says so."""
    rows = Finding.objects.filter(
        machine__yard__shop=shop, settled_at__gte=start, settled_at__lt=end, struck=False
    )
    for pk, machine, settled in rows.values_list("pk", "machine_id", "settled_at"):
        if settled:
            yield Deed(pk, machine, settled.astimezone(shop.zone).date(), settled, finding=pk)


def load_past(shop: Shop, first: date, last: date) -> dict[tuple[int, int], datetime]:
    """Load when first entries of services were put in a day or more after they were done.

    They are the past that comes in when a book begins; services that they cover stand beside them.
    Two queries.
    """
    start, _ = shop.span_of(first)
    _, end = shop.span_of(last + timedelta(days=LONGEST_LATE))
    standing = standing_records().filter(service__isnull=False)
    earlier = standing.filter(
        machine=OuterRef("machine"), service=OuterRef("service"), done_at__lt=OuterRef("done_at")
    )
    rows = standing.filter(
        ~Exists(earlier),
        machine__yard__shop=shop,
        entered_at__range=(start, end),
        entered_at__gte=F("done_at") + A_DAY,
    )
    covered = covered_services()
    found: dict[tuple[int, int], datetime] = {}
    fields = ("machine_id", "machine__makeup_id", "service_id", "entered_at")
    for machine, makeup, service, entered in rows.values_list(*fields):
        for each in covered.done_with(makeup, service):
            found[machine, each] = max(entered, found.get((machine, each), entered))
    return found


def load_circumstances(shop: Shop, first: date, last: date) -> DayCircumstances:
    """Load put-offs, closed days, absences and bookings of these days, with four queries."""
    put_off = PutOff.objects.filter(machine__yard__shop=shop, day__range=(first, last))
    closed = ClosedDay.objects.filter(shop=shop, yard=None, day__range=(first, last))
    away = Absence.objects.filter(person__shop=shop, first_day__lte=last, last_day__gte=first)
    out = Booking.objects.filter(
        machine__yard__shop=shop, cancelled_at=None, first_day__lte=last, last_day__gte=first
    )
    return DayCircumstances(
        {(key, day): why for key, day, why in put_off.values_list("work_key", "day", "reason")},
        dict(closed.values_list("day", "reason")),
        _days(away.values_list("person_id", "first_day", "last_day"), first, last),
        _days(out.values_list("machine_id", "first_day", "last_day"), first, last),
    )


def _days(
    spans: Iterable[tuple[int, date, date]], first: date, last: date
) -> frozenset[tuple[int, date]]:
    """Return each day of spans that lies within the days asked for."""
    return frozenset(
        (who, first + timedelta(days=n))
        for who, start, end in spans
        for n in range(
            max(0, (start - first).days), min((last - first).days, (end - first).days) + 1
        )
    )
