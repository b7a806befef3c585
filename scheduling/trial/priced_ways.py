"""What a shop's plan says of a booking's ways out: sooner shop days and other machines, priced.

The plan stands as it is while a way is priced, so the money is the most that it costs: the search
that follows a press may find it cheaper.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property

from fleet.models import Booking, Machine, Shop
from scheduling.core.planner import (
    BookedSpan,
    InstanceError,
    Problem,
    Sooner,
    SoonerPlace,
    Spot,
    blocked_bookings,
    placed_anew,
    price,
    read_problem,
    sooner,
)
from scheduling.plan.shop_names import ShopNames
from scheduling.plan.shop_problem import ShopFacts, instance, load_shop
from scheduling.trial.standing_plan import standing
from scheduling.wording import conflict_words


@dataclass(frozen=True)
class SoonerDay:
    """A shop day on which work could be done sooner.

    money: what the plan costs more at most.  overtime, beyond: hours of it, and those that the
    shop has to allow first.
    """

    work_keys: tuple[str, ...]
    day: date
    mechanic: str
    username: str
    money: float
    overtime: float
    beyond: float


class PricedWays:
    """A shop's plan as it stands, to price ways against it."""

    def __init__(self, facts: ShopFacts, problem: Problem, places: Mapping[str, Spot]) -> None:
        self.facts, self.problem, self.places = facts, problem, places

    @cached_property
    def names(self) -> ShopNames:
        """Return what the shop's people call days and ids."""
        return ShopNames(self.facts)

    @cached_property
    def total(self) -> float:
        """Return what the plan costs."""
        return sum(price(self.problem, self.places).values())

    def work_before(self, booking: Booking, keys: Collection[str]) -> list[str]:
        """Return work of a machine that the booking waits for and that stands too late for it.

        keys: work that stands against it, as blocks say.
        """
        first, tag = self.facts.horizon.number(booking.first_day), booking.machine.tag
        promise = self._promise(booking)
        wanted = [
            name
            for name, task in self.problem.tasks.items()
            if task.machine == tag and (name in keys or task.blocks(promise))
        ]
        late = [name for name in wanted if not self._before(name, first)]
        return sorted(late)

    def _before(self, name: str, first: int) -> bool:
        spot = self.places.get(name)
        return spot is not None and spot.day < first

    def sooner(self, booking: Booking, keys: Collection[str]) -> tuple[list[SoonerDay], str]:
        """Return shop days before a booking goes out, or a clause that says why there is none."""
        wanted = self.work_before(booking, keys)
        first = min(self.facts.horizon.number(booking.first_day), self.facts.horizon.days)
        if not wanted or first <= 0:
            return [], ""
        found = sooner(self.problem, self.places, wanted, first)
        days = [self._day(found, place) for place in found.places]
        return days, "" if days else self._why_not(found)

    def _day(self, found: Sooner, place: SoonerPlace) -> SoonerDay:
        workers = {worker.username: worker for worker in self.facts.workers}
        worker = workers[place.spot.mechanic or ""]
        return SoonerDay(
            found.tasks,
            self.facts.horizon.date(place.spot.day),
            worker.name,
            worker.account,
            place.money,
            place.overtime,
            place.beyond,
        )

    def _why_not(self, found: Sooner) -> str:
        if found.barred is None:
            return ""
        day, conflict = found.barred
        return f"{self.names.day(day)}: {conflict_words(conflict, self.names)}"

    def swap(self, booking: Booking, machine: Machine) -> float:
        """Return what the plan costs more where a booking goes to another machine.

        Where work of that machine stands on days of the booking, all of its work is placed anew;
        what could be gained by that without the booking is not counted.
        """
        promise = self._promise(booking)
        changed = self._with_promises(booking.machine.tag, booking, None)
        other = changed.machines.get(machine.tag)
        if other is None:  # it has no work
            return self._more(changed, self.places)
        machines = changed.machines | {
            machine.tag: replace(other, bookings=(*other.bookings, promise))
        }
        changed = replace(changed, machines=machines)
        if not self._in_the_way(machine.tag, promise):
            return self._more(changed, self.places)
        now = placed_anew(self.problem, self.places, machine.tag)
        gained = min(0.0, self._more(self.problem, now))
        return self._more(changed, placed_anew(changed, self.places, machine.tag)) - gained

    def shorter(self, booking: Booking, last_day: date) -> tuple[float, float]:
        """Return what a booking's sooner end costs in all, and the hire that is lost by it.

        The hire is the booking's own value by its days.
        """
        promise = self._promise(booking)
        days = (booking.last_day - booking.first_day).days + 1
        lost = promise.value * (booking.last_day - last_day).days / days
        last = self.facts.horizon.number(last_day)
        less = replace(promise, last_day=last, value=promise.value - lost)
        changed = self._with_promises(booking.machine.tag, booking, less)
        return self._more(changed, self.places) + lost, lost

    def anyway(self, booking: Booking) -> float:
        """Return what the plan costs more where a booking waits for no work of its machine."""
        promise = self._promise(booking)
        if promise.id not in blocked_bookings(self.problem, self.places):
            return 0.0
        return -(promise.value + self.problem.weights.goodwill_cost)

    def _promise(self, booking: Booking) -> BookedSpan:
        """Return a booking as the plan has it, or would if its machine had any work."""
        own = self.problem.machines.get(booking.machine.tag)
        spans = own.bookings if own else ()
        known = next((span for span in spans if span.id == str(booking.pk)), None)
        if known is not None:
            return known
        first, last = (self.facts.horizon.number(d) for d in (booking.first_day, booking.last_day))
        usual = float(booking.machine.price_a_day) * (last - first + 1)
        return BookedSpan(str(booking.pk), first, last, float(booking.value or usual))

    def _with_promises(self, tag: str, booking: Booking, promise: BookedSpan | None) -> Problem:
        """Return the problem with another promise in place of a booking's, or with none."""
        own = self.problem.machines.get(tag)
        if own is None:  # it has no work
            return self.problem
        rest = [span for span in own.bookings if span.id != str(booking.pk)]
        spans = (*rest, promise) if promise else tuple(rest)
        machines = self.problem.machines | {tag: replace(own, bookings=spans)}
        return replace(self.problem, machines=machines)

    def _in_the_way(self, tag: str, promise: BookedSpan) -> bool:
        """Whether work of a machine stands on days of a promise."""
        return any(
            promise.first_day <= self.places[name].day <= promise.last_day
            for name, task in self.problem.tasks.items()
            if task.machine == tag and name in self.places
        )

    def _more(self, changed: Problem, places: Mapping[str, Spot]) -> float:
        return sum(price(changed, places).values()) - self.total


def priced_ways(shop: Shop, now: datetime) -> PricedWays | None:
    """Load a shop's plan to price ways against it; None where its facts cannot be planned."""
    facts = load_shop(shop, now)
    try:
        problem = read_problem(instance(facts))
    except InstanceError:
        return None
    return PricedWays(facts, problem, standing(facts, problem).places())
