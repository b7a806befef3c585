"""What is known of one machine when a counter asks whether it may go out; no query is made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from fleet.models import Booking, Finding, Machine
from fleet.saying import short_date
from scheduling.availability.use_on_hire import UseOnHire
from scheduling.models import Block, DuePoint, MachineState


@dataclass(frozen=True)
class Days:
    """Days of a yard, first and last included.

    span: the moments between which, if less than whole days are asked for.
    """

    first: date
    last: date
    span: tuple[datetime, datetime] | None = field(default=None, compare=False)

    def apart(self, booking: Booking) -> bool:
        """Tell whether a booking on some of these days is over before, or begins behind them."""
        if self.span is None:
            return False
        starts, ends = self.span
        return booking.ends_at <= starts or booking.starts_at >= ends

    def meet(self, first: date, last: date | None) -> bool:
        """Tell whether they share a day with others; no last day means without end."""
        return first <= self.last and (last is None or last >= self.first)

    def said(self, today: date) -> str:
        """Say the days: "today", "on Thu 5 Mar", "from today to Sun 8 Mar"."""
        if self.first == self.last:
            return "today" if self.first == today else f"on {short_date(self.first, today)}"
        start = "today" if self.first == today else short_date(self.first, today)
        return f"from {start} to {short_date(self.last, today)}"


@dataclass(frozen=True)
class StandingBooking:
    """A booking that stands, and whether the machine is out on it."""

    booking: Booking
    is_out: bool = False

    def days(self, today: date) -> Days:
        """Return the days that it takes; a machine that left early is away from today on."""
        first = self.booking.first_day
        return Days(min(first, today) if self.is_out else first, self.booking.last_day)

    def is_late(self, today: date) -> bool:
        """Tell whether the machine is still out past its last day."""
        return self.is_out and self.booking.last_day < today


@dataclass(frozen=True)
class CounterFacts:
    """One machine's promises, blocks, due points and open defects.

    planned: key of a due point -> the day for which the shop has planned it.
    frozen_days: days from today on which the shop's plan no longer gives way; horizon_days: days
    from today that it looks ahead; use: what a day of hire uses of it.
    """

    machine: Machine
    state: MachineState | None = None
    promises: Sequence[StandingBooking] = ()
    blocks: Sequence[Block] = ()
    due_points: Sequence[DuePoint] = ()
    defects: Sequence[Finding] = ()
    planned: Mapping[int, date] = field(default_factory=dict)
    frozen_days: int = 1
    horizon_days: int = 28
    use: UseOnHire = field(default_factory=UseOnHire)


def of_booking(known: CounterFacts, booking: Booking) -> CounterFacts:
    """Return what is known of a machine to one of its bookings: that promise is no obstacle."""
    others = [one for one in known.promises if one.booking.pk != booking.pk]
    return replace(known, promises=others, use=known.use.of_promise(booking.hours_a_day))
