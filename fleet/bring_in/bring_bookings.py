"""Rows of bookings, past ones and those to come: machine, customer, days, value."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from fleet.actions.keep_times import give_times
from fleet.bring_in.import_run import ImportRun, go_through
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.folded_names import squeezed
from fleet.models import Booking

LONGEST = 3660
"""Days of one booking at most."""


@dataclass(frozen=True)
class Spoken:
    """Days on which a machine is promised, and for whom."""

    first_day: date
    last_day: date
    customer: str


Diary = dict[int, list[Spoken]]
"""Standing bookings by machine (by `id()`)."""


def bring_bookings(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring bookings in; one machine is promised once a day."""
    diary: Diary = defaultdict(list)
    machines = run.site.by_pk
    standing = Booking.objects.filter(cancelled_at=None).order_by()
    rows = standing.values_list("machine_id", "first_day", "last_day", "customer")
    for machine_id, first, last, customer in rows:
        diary[id(machines[machine_id])].append(Spoken(first, last, customer))
    for row in run.pending[Booking]:
        assert isinstance(row, Booking)
        diary[id(row.machine)].append(Spoken(row.first_day, row.last_day, row.customer))
    go_through(sheet, run, lambda row, run: _booking(row, run, diary))


def _booking(row: SheetRow, run: ImportRun, diary: Diary) -> bool:
    machine = run.site.machine(row.text("tag"))
    first, last = _days(row, run)
    customer = row.text("customer")
    if not customer:
        raise RowTrouble("No customer or job is named.")
    value = row.amount("value", 0, 10**8)
    if machine.retired_on and machine.retired_on <= last:
        raise RowTrouble(f"{machine.tag} is retired from {machine.retired_on}.")
    if other := _clash(diary[id(machine)], first, last):
        if (other.first_day, other.last_day) == (first, last) and (
            squeezed(other.customer) == squeezed(customer)
        ):
            return False
        raise RowTrouble(
            f"{machine.tag} is booked for {other.customer} from {other.first_day} to"
            f" {other.last_day} already."
        )
    if first <= run.today(machine.yard) <= last:
        row.doubt(f"{machine.tag} would be out now; hand it out at the Counter if it is.")
    booking = Booking(
        machine=machine, first_day=first, last_day=last, customer=customer[:120],
        value=None if value is None else Decimal(f"{value:.2f}"),
        made_at=run.now, made_by=run.by,
    )  # fmt: skip
    run.make(give_times(booking))
    diary[id(machine)].append(Spoken(first, last, customer))
    run.concern(machine)
    return True


def _days(row: SheetRow, run: ImportRun) -> tuple[date, date]:
    first, last = row.day("first_day", run.now), row.day("last_day", run.now)
    days = row.whole("days", 1, LONGEST)
    if first is None:
        raise RowTrouble("No first day is given.")
    if last is None:
        if days is None:
            raise RowTrouble("No last day is given, nor the number of days.")
        last = first + timedelta(days=days - 1)
    if last < first:
        raise RowTrouble(f"The last day ({last}) is before the first ({first}).")
    if (last - first).days > LONGEST:
        raise RowTrouble(f"From {first} to {last} is more than ten years; look at the days again.")
    return first, last


def _clash(spoken: Iterable[Spoken], first: date, last: date) -> Spoken | None:
    return next((s for s in spoken if s.first_day <= last and s.last_day >= first), None)
