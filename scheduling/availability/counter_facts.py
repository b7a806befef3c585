"""What is known of one machine when a counter asks whether it may go out; no query is made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.booked_times import EARLIEST, LATEST, PromisedDays, due_back, say_booked, span_of
from fleet.models import Booking, ClassLine, Finding, Machine, MachineClass, Waiting, Yard
from fleet.saying import short_date
from scheduling.availability.use_on_hire import UseOnHire
from scheduling.models import Block, DuePoint, MachineState

Moments = tuple[datetime, datetime]
"""A first moment, and the one at which it ends, left out."""
NEAR = timedelta(days=2)
"""No moment of a promise, its turn-round with it, is further from its days."""
JUST_BEFORE = timedelta(microseconds=1)
BEFORE_ALL = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True)
class Days:
    """Days of a yard, first and last included, and times of day where no whole days are meant.

    now: when it is asked, where that is known: what is asked for today begins then.  span: the
    moments of a promise that is known, which then stand for all of that.
    """

    first: date
    last: date
    span: tuple[datetime, datetime] | None = field(default=None, compare=False)
    now: datetime | None = field(default=None, compare=False)
    from_time: time | None = None
    to_time: time | None = None

    def moments(self, machine: Machine) -> Moments:
        """Return the moments that a promise of a machine on these days would take."""
        return self.moments_at(machine.yard, machine.makeup.machine_class)

    def moments_at(self, yard: Yard, machine_class: MachineClass) -> Moments:
        """Return the moments that a promise of any machine of a class would take, in a yard."""
        if self.span is not None:
            return self.span
        turn_round = timedelta(0)
        if self.to_time is not None:
            turn_round = timedelta(minutes=machine_class.turn_round_minutes)
        said = PromisedDays(self.first, self.last, self.from_time, self.to_time)
        made_at = self.now or BEFORE_ALL
        return span_of(said, yard.zone, made_at=made_at, turn_round=turn_round)

    @property
    def timed(self) -> bool:
        """Whether times of day are asked for."""
        return self.from_time is not None or self.to_time is not None

    def meet(self, first: date, last: date | None) -> bool:
        """Tell whether they share a day with others; no last day means without end."""
        return first <= self.last and (last is None or last >= self.first)

    def said(self, today: date) -> str:
        """Say the days: "today", "on Thu 5 Mar", "from today to Sun 8 Mar"; times with them."""
        if self.timed:
            said = say_booked(
                PromisedDays(self.first, self.last, self.from_time, self.to_time), today
            )
            return f"{'on' if self.first == self.last else 'from'} {said}"
        if self.first == self.last:
            return "today" if self.first == today else f"on {short_date(self.first, today)}"
        start = "today" if self.first == today else short_date(self.first, today)
        return f"from {start} to {short_date(self.last, today)}"


@dataclass(frozen=True)
class StandingBooking:
    """A booking that stands, and whether the machine is out on it.

    is_back: it came back, and is being made ready for the next customer.
    """

    booking: Booking
    is_out: bool = False
    is_back: bool = False

    def days(self, today: date) -> Days:
        """Return the days that it takes; a machine that left early is away from today on."""
        first = self.booking.first_day
        return Days(min(first, today) if self.is_out else first, self.booking.last_day)

    def takes(self, days: Days, moments: Moments, today: date) -> bool:
        """Tell whether it takes the machine at any of these moments; a day, where it has none."""
        starts, ends = self.booking.starts_at, self.booking.ends_at
        if starts is None:
            taken = self.days(today)
            return days.meet(taken.first, taken.last)
        return starts < moments[1] and ends > moments[0] and starts < ends

    def is_late(self, today: date, machine: Machine, now: datetime | None = None) -> bool:
        """Tell whether the machine is still out past its last day, or its time."""
        if not self.is_out or self.is_back:
            return False
        late = now is not None and due_back(self.booking.days, machine.yard.zone) <= now
        return late or self.booking.last_day < today


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

    def with_promises(self, promises: Sequence[StandingBooking], use: UseOnHire) -> "CounterFacts":
        """Return it with other promises, and another use of a day of hire.

        Built at one go: a calendar asks twenty thousand times, and `replace` takes thrice as long.
        """
        return CounterFacts(
            self.machine, self.state, promises, self.blocks, self.due_points, self.defects,
            self.planned, self.frozen_days, self.horizon_days, use,
        )  # fmt: skip


def of_booking(known: CounterFacts, booking: Booking) -> CounterFacts:
    """Return what is known of a machine to one of its bookings: that promise is no obstacle."""
    others = [one for one in known.promises if one.booking.pk != booking.pk]
    return known.with_promises(others, known.use.of_promise(booking.hours_a_day))


@dataclass(frozen=True)
class NearPromises:
    """What is known of a machine, where it is asked about one stretch of days after another.

    A machine of a busy yard has a score of promises, of which one or two can stand against a few
    days; the others need not be looked at for each of them.
    """

    known: CounterFacts
    reach: Sequence[tuple[date, date, StandingBooking]]

    @classmethod
    def of(cls, known: CounterFacts) -> "NearPromises":
        """Return it with the days of the yard that each promise touches, turn-round included."""
        zone = known.machine.yard.zone
        return cls(known, [(*_reach(one, zone), one) for one in known.promises])

    def on(self, days: Days, booking: Booking | None = None) -> CounterFacts:
        """Return what is known to who asks about these days; booking: as `of_booking` does."""
        own = booking.pk if booking else None
        since, until = days.first, days.last
        if days.span is not None:  # moments reach over into other days
            since, until = max(since, EARLIEST) - NEAR, min(until, LATEST) + NEAR
        near = [
            one
            for first, last, one in self.reach
            if first <= until and last >= since and (own is None or one.booking.pk != own)
        ]
        if booking is None and len(near) == len(self.reach):
            return self.known
        use = self.known.use.of_promise(booking.hours_a_day) if booking else self.known.use
        return self.known.with_promises(near, use)


def _reach(promise: StandingBooking, zone: ZoneInfo) -> tuple[date, date]:
    """Return the days that a promise touches; of a machine that is out all of them."""
    booking = promise.booking
    if promise.is_out or booking.starts_at is None:
        return date.min, date.max
    starts, ends = booking.starts_at, max(booking.starts_at, booking.ends_at - JUST_BEFORE)
    first, last = (at.astimezone(zone).date() for at in (starts, ends))
    return min(booking.first_day, first), max(booking.last_day, last)


def left_of(booking: Booking, today: date, now: datetime | None = None) -> Days:
    """Return what is left of a promise: its days from today on, and its moments from now on."""
    starts = booking.starts_at if now is None else max(booking.starts_at, now)
    first = max(booking.first_day, today)
    return Days(first, booking.last_day, (starts, booking.ends_at), now)


def wanted_still(row: ClassLine | Waiting, today: date, now: datetime | None = None) -> Days:
    """Return what is left, from today on, of days that a class is promised or waited for."""
    first, from_time = row.first_day, row.from_time
    if first < today:
        first, from_time = today, None
    last = max(first, row.last_day)
    return Days(first, last, now=now, from_time=from_time, to_time=row.to_time)


def going_out(booking: Booking, today: date, now: datetime) -> Days:
    """Return what a check-out now takes, until the promise ends.

    Who hands a machine over sees that it is ready, so a turn-round that runs is no obstacle.
    """
    return Days(today, booking.last_day, (now, booking.ends_at))
