"""A rental desk lived through by several clients at once, and all that must hold afterwards.

Each client is a thread with a connection of its own, and draws its acts from its own seed: book,
swap, extend, call off and back in, out, back, hold, release, undo.  A refusal is an answer; any
other error is a fault.  How the threads meet is chance, so a seed draws acts, not their order.
"""

import random
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from itertools import count, pairwise
from threading import Barrier, Lock

from django.db import connection, transaction

from fleet.actions.correct_bookings import BookingCorrection
from fleet.actions.hand_over import WalkRound, check_in
from fleet.actions.hold_machines import NewHold, place_hold, release_hold
from fleet.actions.make_bookings import NewBooking, call_off
from fleet.actions.undo_acts import undo_act
from fleet.booked_times import due_back
from fleet.models import Booking, HandOver, Hold, Machine, Person
from fleet.queries.last_act import last_act
from fleet.refusal import Refusal
from scheduling.actions.book_and_check_out import (
    Decision,
    book_unless_blocked,
    check_out_unless_blocked,
    learn_first,
    prolong_unless_blocked,
)
from scheduling.actions.correct_promise import call_back_in_unless_blocked, correct_unless_blocked
from scheduling.availability.answer import Availability
from scheduling.availability.counter_facts import Days, going_out, left_of
from scheduling.availability.objections import Cause
from scheduling.due.refresh import refresh
from scheduling.models import Block, OutboxEntry
from scheduling.notices.risk_warnings import warn_of_risks
from scheduling.notices.standing_risks import standing_risks
from scheduling.queries.bookings_at_risk import open_bookings
from scheduling.queries.calendar_grid import calendar_lines
from scheduling.queries.late_returns import late_returns
from scheduling.queries.may_go_out import may_go_between, which_may
from scheduling.worker.perform import perform_entry

DAY = timedelta(days=1)
LOOKED = 12
"""Days ahead on which counter, calendar and interface are compared."""
HALVES = (((8, 0), (12, 0)), ((12, 0), (17, 0)))
ACTS = (
    "book", "book", "book", "swap", "extend", "off", "back in", "out", "out", "back", "hold",
    "release", "undo",
)  # fmt: skip


@dataclass
class Desk:
    """What the clients share: machines, people, a clock that goes on with each look at it."""

    machines: list[Machine]
    people: list[Person]
    start: datetime
    done: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    ticks: count = field(default_factory=count)
    keys: count = field(default_factory=count)
    lock: Lock = field(default_factory=Lock)

    def now(self) -> datetime:
        """Return the time, five seconds on."""
        with self.lock:
            return self.start + 5 * next(self.ticks) * timedelta(seconds=1)

    def live(self, seed: int, acts: int) -> None:
        """Let every person act so often, all at once."""
        gate = Barrier(len(self.people))

        def client(number: int) -> None:
            rng = random.Random(f"{seed} {number}")
            try:
                gate.wait(120)
                for _ in range(acts):
                    self._act(rng, self.people[number])
            finally:
                connection.close()

        with ThreadPoolExecutor(len(self.people)) as pool:
            list(pool.map(client, range(len(self.people))))

    def _act(self, rng: random.Random, person: Person) -> None:
        name = rng.choice(ACTS)
        now = self.now()
        decision = Decision(person, now, "drawn by chance")
        try:
            did = DO[name](self, rng, decision)
        except Refusal:
            self.done[f"{name}, refused"] += 1
        except Exception as error:  # whatever it is, it is told with its act
            self.faults.append(f"{name}: {type(error).__name__} {error}")
        else:
            self.done[name if did else f"{name}, nothing to"] += 1


def _pick(rng: random.Random, rows) -> Booking | None:
    rows = list(rows.select_related("machine__yard__shop", "machine__makeup__machine_class"))
    return rng.choice(rows) if rows else None


def _standing(desk: Desk):
    return Booking.objects.filter(machine__in=desk.machines, cancelled_at=None).order_by("pk")


def _called_off(desk: Desk):
    rows = Booking.objects.filter(machine__in=desk.machines)
    return rows.exclude(cancelled_at=None).order_by("pk")


def _book(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    machine = rng.choice(desk.machines)
    first = decision.day(machine) + rng.randrange(6) * DAY
    last = first + rng.randrange(3) * DAY
    start, end = (time(*at) for at in rng.choice(HALVES))
    timed = {"from_time": start, "to_time": end} if first == last and rng.random() < 0.5 else {}
    with desk.lock:
        key = f"drawn {machine.yard_id} {next(desk.keys)}"
    book_unless_blocked(NewBooking(machine, first, last, key, form_key=key, **timed), decision)
    return True


def _swap(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    booking = _pick(rng, _standing(desk))
    if booking is None:
        return False
    right = BookingCorrection(
        rng.choice(desk.machines), booking.first_day, booking.last_day, booking.customer, None,
        booking.from_time, booking.to_time,
    )  # fmt: skip
    correct_unless_blocked(booking, right, decision)
    return True


def _extend(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    booking = _pick(rng, _standing(desk))
    if booking is None:
        return False
    prolong_unless_blocked(booking, booking.last_day + rng.choice((-1, 1, 2)) * DAY, decision)
    return True


def _off(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    booking = _pick(rng, _standing(desk))
    return booking is not None and bool(call_off(booking, by=decision.by, now=decision.now))


def _back_in(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    booking = _pick(rng, _called_off(desk))
    return booking is not None and bool(call_back_in_unless_blocked(booking, decision))


def _out(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    booking = _pick(rng, _standing(desk).filter(first_day__lte=decision.now.date()))
    if booking is None:
        return False
    learn_first(booking.machine, decision.now)
    check_out_unless_blocked(booking, WalkRound(), decision)
    return True


def _back(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    rows = HandOver.objects.filter(direction="out").values("booking")
    booking = _pick(rng, _standing(desk).filter(pk__in=rows))
    if booking is None:
        return False
    check_in(booking, WalkRound(), by=decision.by, now=decision.now)
    return True


def _hold(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    new = NewHold(rng.choice(desk.machines), rng.choice(("rattles", "papers")))
    return bool(place_hold(new, by=decision.by, now=decision.now))


def _release(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    hold = Hold.objects.filter(machine__in=desk.machines, released_at=None).first()
    return hold is not None and bool(
        release_hold(hold, note="looked at", by=decision.by, now=decision.now)
    )


def _undo(desk: Desk, rng: random.Random, decision: Decision) -> bool:
    act = last_act(decision.by, decision.now)
    return act is not None and undo_act(act, by=decision.by, now=decision.now)


DO: dict[str, Callable[[Desk, random.Random, Decision], bool]] = {
    "book": _book, "swap": _swap, "extend": _extend, "off": _off, "back in": _back_in,
    "out": _out, "back": _back, "hold": _hold, "release": _release, "undo": _undo,
}  # fmt: skip


def what_is_wrong(desk: Desk, ask: Callable[[str], dict[str, str]]) -> list[str]:
    """Return all that does not hold, in words; ask: a day -> the interface's answer by tag."""
    now = desk.now()
    for entry in OutboxEntry.objects.filter(kind=OutboxEntry.Kind.REFRESH, done_at=None):
        perform_entry(entry.pk, now)
    found = [*desk.faults, *_twice(), *_hand_overs(), *_blocks(desk, now)]
    return [*found, *_answers(desk, now, ask), *_check_outs(desk, now), *_late(now),
            *_risk_letters(desk, now)]  # fmt: skip


def _twice() -> list[str]:
    rows = Booking.objects.filter(cancelled_at=None).order_by("machine", "starts_at", "ends_at")
    real = [row for row in rows if row.starts_at < row.ends_at]
    return [
        f"promised twice: {a}, {b}"
        for a, b in pairwise(real)
        if a.machine_id == b.machine_id and a.ends_at > b.starts_at
    ]


def _gone() -> list[Booking]:
    back = HandOver.objects.filter(direction="back").values("booking")
    out = HandOver.objects.filter(direction="out").exclude(booking__in=back)
    rows = Booking.objects.filter(pk__in=out.values("booking"))
    return list(rows.select_related("machine__yard__shop"))


def _hand_overs() -> list[str]:
    out = Counter(row.machine_id for row in _gone())
    twice = [f"machine {machine} is out {n} times" for machine, n in out.items() if n > 1]
    went = HandOver.objects.filter(direction="out").values("booking")
    alone = HandOver.objects.filter(direction="back").exclude(booking__in=went)
    off = HandOver.objects.filter(booking__cancelled_at__isnull=False)
    return [*twice, *(f"back and never out: {row}" for row in alone),
            *(f"handed over and called off: {row}" for row in off)]  # fmt: skip


def _rows() -> set[tuple]:
    names = ("machine", "kind", "first_day", "last_day", "hard", "hold", "due_point", "booking")
    return set(Block.objects.values_list(*names))


def _blocks(desk: Desk, now: datetime) -> list[str]:
    """Each block follows from a fact and goes with it: worked out anew, they are the same."""
    before = _rows()
    refresh({machine.pk for machine in desk.machines}, now)
    stale = [f"a block that does not follow, or lacks: {row}" for row in before ^ _rows()]
    held = set(Hold.objects.filter(released_at=None).values_list("machine", "pk"))
    hung = set(Block.objects.filter(kind=Block.Kind.HOLD).values_list("machine", "hold"))
    return [*stale, *(f"a hold without its block, or the reverse: {row}" for row in held ^ hung)]


def _answers(desk: Desk, now: datetime, ask: Callable[[str], dict[str, str]]) -> list[str]:
    machines = list(
        Machine.objects.filter(pk__in=[one.pk for one in desk.machines])
        .select_related("now", "makeup__machine_class", "yard__shop")
        .order_by("pk")
    )
    today = now.astimezone(machines[0].yard.zone).date()
    lines = calendar_lines(machines, Days(today, today + LOOKED * DAY), today, now)
    cells = {line.machine.tag: line.cells for line in lines}
    found = []
    for day in (today + number * DAY for number in range(LOOKED)):
        said = which_may(machines[0].makeup.machine_class, Days(day, day, now=now), today)
        told = ask(day.isoformat())
        for one in said:
            tag = one.machine.tag
            (cell,) = [each for each in cells[tag] if each.first <= day <= each.last]
            told_alike = cell.kind == one.kind or (cell.booking and cell.last != day)
            if not told_alike:
                found.append(f"{tag} {day}: counter {one.kind}, calendar {cell.kind}")
            if told[tag] != str(one.kind.value):
                found.append(f"{tag} {day}: counter {one.kind}, interface {told[tag]}")
    return found


class _Undone(Exception):
    """Takes back a check-out that was but tried."""


def _check_outs(desk: Desk, now: datetime) -> list[str]:
    """What the page says of each booking of today is what its check-out does.

    Of this desk's machines alone: another's had a clock of its own, which may have gone further.
    """
    handed = HandOver.objects.values("booking")
    rows = _standing(desk).exclude(pk__in=handed)
    found = []
    for booking in rows.select_related("machine__yard__shop", "machine__makeup__machine_class"):
        zone = booking.machine.yard.zone
        today = now.astimezone(zone).date()
        if not booking.first_day <= today or due_back(booking.days, zone) <= now:
            continue
        days = going_out(booking, today, now)
        answer = may_go_between(booking.machine, days, today, but=booking)
        person = Person.objects.filter(role="manager").first()
        why = "went"
        try:
            with transaction.atomic():
                check_out_unless_blocked(booking, WalkRound(), Decision(person, now, "a trial"))
                raise _Undone
        except _Undone:
            goes = True
        except Refusal as no:
            goes, why = False, str(no)
        if goes == answer.final:
            found.append(f"{booking}: said {answer.kind}, check-out: {why}")
    return found


def _late(now: datetime) -> list[str]:
    """What letters and the counter call late is what is out past its time, now and in ten days."""
    found = []
    for at in (now, now + 10 * DAY):
        told = {one.booking.pk for one in late_returns(at)}
        true = {row.pk for row in _gone() if due_back(row.days, row.machine.yard.zone) <= at}
        found += [f"late at {at:%d %b}, or said so: booking {pk}" for pk in told ^ true]
    return found


OF_NO_RISK = (Cause.PROMISED, Cause.OUT, Cause.SHOP, Cause.UNKNOWN)
"""What a desk is not warned of: the plan goes round its own days, and promises never overlap."""


def _risk_letters(desk: Desk, now: datetime) -> list[str]:
    """After a night the letters that stand tell of the bookings against which the counter speaks.

    The letters ask the blocks, the counter the due points: two ways to one answer.
    """
    shop = desk.machines[0].yard.shop
    today = now.astimezone(shop.zone).date()
    warn_of_risks(shop, now)
    told = {one.cause.booking_id for one in standing_risks(shop, None)}
    found = []
    for booking in open_bookings(shop, today):
        if booking.first_day > today + shop.warn_days * DAY:
            continue
        days = left_of(booking, today, now)
        said = may_go_between(booking.machine, days, today, but=booking)
        if _risky(said) != (booking.pk in told):
            found.append(f"{booking}: {said.sentence} Told: {booking.pk in told}")
    return found


def _risky(said: Availability) -> bool:
    """Tell whether the counter has anything against a booking that nobody has planned to end."""
    ahead = (said.days.first - said.today).days < said.machine.yard.shop.horizon_days
    return any(
        (ahead or not one.done_before) and not one.settled_before(said.days.first)
        for one in said.objections
        if one.cause not in OF_NO_RISK
    )
