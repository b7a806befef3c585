"""Rows of bookings, past ones and those to come: machine, customer, days, value."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from fleet.actions.keep_times import give_times
from fleet.booked_times import PromisedDays
from fleet.bring_in.import_run import ImportRun, go_through
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.typed_sheets import SheetRow, TypedSheet
from fleet.folded_names import squeezed
from fleet.models import Booking

LONGEST = 3660
"""Days of one booking at most."""


@dataclass(frozen=True)
class Spoken:
    """Days and moments on which a machine is promised, and for whom."""

    first_day: date
    last_day: date
    customer: str
    starts_at: datetime
    ends_at: datetime

    @classmethod
    def of(cls, booking: Booking) -> "Spoken":
        """Return what a booking with its moments says."""
        one = booking
        return cls(one.first_day, one.last_day, one.customer, one.starts_at, one.ends_at)


Diary = dict[int, list[Spoken]]
"""Standing bookings by machine (by `id()`)."""


def bring_bookings(sheet: TypedSheet, run: ImportRun) -> None:
    """Bring bookings in; one machine is promised once at a time."""
    diary: Diary = defaultdict(list)
    machines = run.site.by_pk
    standing = Booking.objects.filter(cancelled_at=None).order_by()
    rows = standing.values_list(
        "machine_id", "first_day", "last_day", "customer", "starts_at", "ends_at"
    )
    for machine_id, first, last, customer, starts, ends in rows:
        spoken = Spoken(first, last, customer, starts, ends)
        diary[id(machines[machine_id])].append(spoken)
    for row in run.pending[Booking]:
        assert isinstance(row, Booking)
        diary[id(row.machine)].append(Spoken.of(row))
    go_through(sheet, run, lambda row, run: _booking(row, run, diary))


def _booking(row: SheetRow, run: ImportRun, diary: Diary) -> bool:
    machine = run.machine(row.text("tag"))
    days = _days(row, run)
    first, last = days.first_day, days.last_day
    customer = row.text("customer")
    if not customer:
        raise RowTrouble("No customer or job is named.")
    value = row.amount("value", 0, 10**8)
    if machine.retired_on and machine.retired_on <= last:
        raise RowTrouble(f"{machine.tag} is retired from {machine.retired_on}.")
    booking = give_times(
        Booking(
            machine=machine, first_day=first, last_day=last, from_time=days.from_time,
            to_time=days.to_time, customer=customer[:120],
            value=None if value is None else Decimal(f"{value:.2f}"),
            made_at=run.now, made_by=run.by,
        )
    )  # fmt: skip
    if other := _clash(diary[id(machine)], booking):
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
    run.make(booking)
    diary[id(machine)].append(Spoken.of(booking))
    run.concern(machine)
    return True


def _days(row: SheetRow, run: ImportRun) -> PromisedDays:
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
    said = PromisedDays(first, last, row.clock("from_time"), row.clock("to_time"))
    if said.backwards:
        raise RowTrouble("It would come back before it goes out; look at the times.")
    return said


def _clash(spoken: Iterable[Spoken], wish: Booking) -> Spoken | None:
    """Return what has the machine at any of the same moments."""
    starts, ends = wish.starts_at, wish.ends_at
    return next((s for s in spoken if s.starts_at < ends and s.ends_at > starts), None)
