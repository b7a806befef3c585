"""A hire as the desk sees it: its machines with their days and how far each is, and the sum."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import DateTimeField, OuterRef, QuerySet, Subquery

from fleet.booked_times import due_back
from fleet.models import Booking, ClassLine, HandOver, Hire, Machine, MachineClass, Person
from fleet.models.hires import NO_MACHINE
from fleet.saying import counted


@dataclass(frozen=True)
class HireLine:
    """One machine of a hire as it is now; out_at, back_at: when it was handed over."""

    booking: Booking
    now: datetime
    out_at: datetime | None
    back_at: datetime | None

    @property
    def state(self) -> str:
        """How far it is: "called off", "back", "late", "out", "coming"."""
        if self.booking.cancelled_at:
            return "called off"
        if self.back_at:
            return "back"
        if self.out_at:
            due = due_back(self.booking.days, self.booking.machine.yard.zone)
            return "late" if due <= self.now else "out"
        return "coming"

    @property
    def words(self) -> str:
        """Say how far it is."""
        said = {
            "called off": "called off", "back": "back", "out": "out",
            "late": "still out past its time", "coming": "to go out",
        }  # fmt: skip
        return said[self.state]

    @property
    def open(self) -> bool:
        """Whether anything is still to come of it."""
        return self.state in ("coming", "out", "late")


def lines_of(rows: QuerySet[Booking], now: datetime, most: int | None = None) -> list[HireLine]:
    """Return bookings as lines, each with when it went out and came back; one query.

    most: so many of them at most."""
    made = HandOver.objects.filter(booking=OuterRef("pk"))
    told = rows.annotate(
        out_at=_at(made, HandOver.Direction.OUT), back_at=_at(made, HandOver.Direction.BACK)
    )
    return [HireLine(row, now, row.out_at, row.back_at) for row in told[:most]]


def _at(made: QuerySet[HandOver], direction: str) -> Subquery:
    rows = made.filter(direction=direction).values("at")[:1]
    return Subquery(rows, output_field=DateTimeField(null=True))


@dataclass(frozen=True)
class HireOverview:
    """All of a hire that a person may look at.

    elsewhere: machines of it that are of other shops.
    """

    hire: Hire
    lines: Sequence[HireLine]
    class_lines: Sequence[ClassLine]
    elsewhere: int

    @property
    def total(self) -> Decimal | None:
        """The value of what is not called off; None where nothing has one."""
        values = [line.booking.value for line in self.lines if line.state != "called off"]
        values += [line.value for line in self.class_lines if not line.cancelled_at]
        known = [value for value in values if value is not None]
        return sum(known, Decimal(0)) if known else None

    @property
    def open_classes(self) -> list[ClassLine]:
        """Classes of which a machine is still to be chosen."""
        return [line for line in self.class_lines if not line.cancelled_at]

    @property
    def sentence(self) -> str:
        """Say how it stands: "2 machines out, 1 to go out"."""
        states = [line.state for line in self.lines]
        late, out = states.count("late"), states.count("out") + states.count("late")
        coming, back = states.count("coming") + len(self.open_classes), states.count("back")
        said = [f"{counted(out, 'machine')} out"] if out else []
        said += [f"{late} past {'its' if late == 1 else 'their'} time"] if late else []
        said += [f"{coming} to go out"] if coming else []
        said += [f"{back} back"] if back else []
        return ", ".join(said) or ("called off" if states or self.class_lines else "no machine yet")


def hire_overview(hire: Hire, person: Person, now: datetime) -> HireOverview:
    """Gather a hire; three queries."""
    rows = hire.bookings.select_related(
        "machine__now", "machine__makeup__machine_class", "machine__yard__shop"
    )
    lines = lines_of(rows.order_by("starts_at", "pk"), now)
    own = [
        line for line in lines if person.only_shop_id in (None, line.booking.machine.yard.shop_id)
    ]
    wanted = hire.class_lines.filter(NO_MACHINE).select_related("machine_class", "yard")
    return HireOverview(hire, own, list(wanted), len(lines) - len(own))


def usual_value(machine: Machine, first: date, last: date) -> Decimal | None:
    """Return what a machine brings by its day rate, or its class's; None where neither is known."""
    return _times(machine.price_a_day, first, last)


def usual_class_value(machine_class: MachineClass, first: date, last: date) -> Decimal | None:
    """Return what any machine of a class brings by its day rate."""
    return _times(machine_class.day_rate, first, last)


def _times(rate: Decimal | None, first: date, last: date) -> Decimal | None:
    return rate * ((last - first).days + 1) if rate else None


def by_hire(lines: Iterable[HireLine]) -> list[tuple[int | None, list[HireLine]]]:
    """Put lines of one hire together, in their order."""
    grouped: dict[int | None, list[HireLine]] = {}
    for line in lines:
        grouped.setdefault(line.booking.hire_id, []).append(line)
    return list(grouped.items())
