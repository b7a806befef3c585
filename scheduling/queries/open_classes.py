"""Classes promised without a machine: how many, whether enough are left, which machine is best."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db.models import QuerySet

from fleet.booked_times import DAY, EARLIEST, LATEST
from fleet.models import ClassLine, Hire, Machine, MachineClass, Person, Shop, Yard
from fleet.models.hires import NO_MACHINE
from fleet.queries.mine import shops_of
from fleet.saying import counted
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import Days, wanted_still
from scheduling.queries.may_go_out import which_may

AHEAD = timedelta(days=7)
"""How far ahead the counter tells of classes without a machine."""


def open_lines() -> QuerySet[ClassLine]:
    """Return the promises of a class for which no machine is chosen yet."""
    rows = ClassLine.objects.filter(NO_MACHINE, cancelled_at=None)
    return rows.select_related("hire__customer", "machine_class", "yard__shop")


def open_lines_of(person: Person) -> QuerySet[ClassLine]:
    """Return those of the shops that a person may look at."""
    return open_lines().filter(yard__shop__in=shops_of(person))


def lines_on(hires: QuerySet[Hire]) -> QuerySet[ClassLine]:
    """Return the classes promised on some hires, open or not."""
    return ClassLine.objects.filter(hire__in=hires).select_related("hire__customer")


def promised_of(
    machine_class: MachineClass, days: Days, yard: Yard | None = None, but: ClassLine | None = None
) -> int:
    """Return how many open promises of a class share a moment with these days; one query.

    but: one that is left out of account.  Days and times are those of each promise's yard.
    """
    near = (max(days.first, EARLIEST) - DAY, min(days.last, LATEST) + DAY)
    rows = ClassLine.objects.filter(
        NO_MACHINE, cancelled_at=None, machine_class=machine_class,
        first_day__lte=near[1], last_day__gte=near[0],
    ).select_related("yard__shop")  # fmt: skip
    rows = rows.exclude(pk=but.pk) if but else rows
    rows = rows.filter(yard=yard) if yard else rows
    return sum(_meet(line, days, machine_class) for line in rows)


def _meet(line: ClassLine, days: Days, machine_class: MachineClass) -> bool:
    """Tell whether a promise of a class shares a moment with days that are asked for."""
    own = Days(line.first_day, line.last_day, from_time=line.from_time, to_time=line.to_time)
    promised = own.moments_at(line.yard, machine_class)
    asked = days.moments_at(line.yard, machine_class)
    return promised[0] < asked[1] and asked[0] < promised[1]


def bookable(answers: Iterable[Availability]) -> list[Availability]:
    """Return the answers by which a machine can be booked without a reason, the best first."""
    return [one for one in answers if not one.final and not one.needs_reason]


@dataclass(frozen=True)
class ClassRoom:
    """How many machines of a class may go from a yard on some days, and how many are promised."""

    may: int
    promised: int

    @property
    def left(self) -> int:
        """How many are left to promise."""
        return max(self.may - self.promised, 0)

    @property
    def sentence(self) -> str:
        """Say how many are left of what may go: "1 of this class is promised…; 2 are left."."""
        are = "is" if self.promised == 1 else "are"
        left = "none is" if not self.left else f"{self.left} {'is' if self.left == 1 else 'are'}"
        return f"{self.promised} of this class {are} promised without a machine yet; {left} left."


def class_room(
    machine_class: MachineClass, yard: Yard, days: Days, today: date, but: ClassLine | None = None
) -> ClassRoom:
    """Count what is left of a class in a yard on all of some days; but: not counting this line."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    answers = which_may(machine_class, days, today, among=rows, yard=yard)
    return ClassRoom(len(bookable(answers)), promised_of(machine_class, days, yard, but))


def room_beside(machine: Machine, days: Days, today: date) -> ClassRoom | None:
    """Return what is left of a machine's class in its yard where some of it is promised.

    None where nothing of the class is promised without a machine; then it is one query.
    """
    of = machine.makeup.machine_class
    if not promised_of(of, days, machine.yard):
        return None
    return class_room(of, machine.yard, replace(days, span=None), today)


def choices_for(line: ClassLine, today: date) -> list[Availability]:
    """Return the machines that a line can be given, the best first."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    days = wanted_still(line, today)
    return bookable(which_may(line.machine_class, days, today, among=rows, yard=line.yard))


@dataclass(frozen=True)
class ClassesToChoose:
    """Open promises of some shops that go out within a week, or should have gone, soonest first."""

    lines: Sequence[ClassLine]
    today: date

    @property
    def sentence(self) -> str:
        """Say how many: "4 class bookings go out tomorrow without a machine yet."."""
        days = [max(line.first_day, self.today) for line in self.lines]
        soonest = min(days, default=self.today)
        number = days.count(soonest)
        when = {0: "today", 1: "tomorrow"}.get(
            (soonest - self.today).days, f"on {soonest:%a %-d %b}"
        )
        go = "goes" if number == 1 else "go"
        return f"{counted(number, 'class booking')} {go} out {when} without a machine yet."


def classes_to_choose(shops: Iterable[Shop], today: date) -> ClassesToChoose:
    """Gather what the desk has to choose a machine for; one query."""
    rows = open_lines().filter(
        yard__shop__in=list(shops), first_day__lte=today + AHEAD, last_day__gte=today
    )
    return ClassesToChoose(list(rows), today)
