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
    InstanceError,
    Problem,
    Sooner,
    SoonerPlace,
    Spot,
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
        machine = self.problem.machines.get(tag)
        promise = (
            next((b for b in machine.bookings if b.id == str(booking.pk)), None)
            if (machine)
            else None
        )
        wanted = [
            name
            for name, task in self.problem.tasks.items()
            if task.machine == tag and (name in keys or (promise and task.blocks(promise)))
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

    def swap(self, booking: Booking, machine: Machine) -> float | None:
        """Return what the plan costs more where a booking goes to another machine.

        None: its work stands on days of the booking, and would have to be planned anew.
        """
        tag, other = booking.machine.tag, self.problem.machines.get(machine.tag)
        first, last = (self.facts.horizon.number(d) for d in (booking.first_day, booking.last_day))
        days = [
            self.places[name].day
            for name, task in self.problem.tasks.items()
            if task.machine == machine.tag and name in self.places
        ]
        if any(first <= day <= last for day in days):
            return None
        machines = dict(self.problem.machines)
        own = machines.get(tag)
        if own is None:
            return None
        promise = next((b for b in own.bookings if b.id == str(booking.pk)), None)
        if promise is None:
            return None
        rest = tuple(b for b in own.bookings if b is not promise)
        machines[tag] = replace(own, bookings=rest)
        if other is not None:
            machines[machine.tag] = replace(other, bookings=(*other.bookings, promise))
        changed = replace(self.problem, machines=machines)
        return sum(price(changed, self.places).values()) - self.total


def priced_ways(shop: Shop, now: datetime) -> PricedWays | None:
    """Load a shop's plan to price ways against it; None where its facts cannot be planned."""
    facts = load_shop(shop, now)
    try:
        problem = read_problem(instance(facts))
    except InstanceError:
        return None
    return PricedWays(facts, problem, standing(facts, problem).places())
