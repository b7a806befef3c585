"""What a plan has used up so far of a yard's hours, bays, stock and trips; and its price.

`Draft` is the mutable half of a search: visits are put in and taken out, and it answers what one
more visit of a machine would cost or break, for every row, day and mechanic at once.
"""

from dataclasses import dataclass

import numpy as np

from scheduling.core.planner.problem import Case, Flags, Floats, Ints, Spot, ticks
from scheduling.core.planner.visits import Slot, Uses, Visits

from .compatible import compatible


@dataclass(slots=True)
class Draft:
    """Use of a yard: ticks (H, W), half bays (H,), parts drawn by each day's end (P, H), ...

    `trips` (S, H, W) counts visits to a ranch, `chosen` holds each machine's visits and `own`
    what those cost by themselves, tasks that wait and bookings that are lost included.
    """

    case: Case
    machines: list[Visits]
    used: Ints
    bays: Ints
    drawn: Floats
    trips: Ints
    chosen: list[list[Slot]]
    own: Floats

    @classmethod
    def empty(cls, case: Case, machines: list[Visits]) -> "Draft":
        """Return the plan in which every task waits."""
        shape = (case.days, len(case.mechanics))
        draft = cls(
            case=case,
            machines=machines,
            used=np.zeros(shape, dtype=np.int64),
            bays=np.zeros(case.days, dtype=np.int64),
            drawn=np.zeros_like(case.stock),
            trips=np.zeros((len(case.sites), *shape), dtype=np.int64),
            chosen=[[] for _ in machines],
            own=np.zeros(len(machines)),
        )
        for k in range(len(machines)):
            draft.reprice(k)
        return draft

    def copy(self) -> "Draft":
        """Return a copy that can be changed apart."""
        return Draft(
            self.case,
            self.machines,
            self.used.copy(),
            self.bays.copy(),
            self.drawn.copy(),
            self.trips.copy(),
            [list(slots) for slots in self.chosen],
            self.own.copy(),
        )

    def put(self, k: int, slot: Slot) -> None:
        """Add a visit (row, first day, crew) of machine `k`; call `reprice` once all are in."""
        self._count(k, slot, 1)
        self.chosen[k].append(slot)

    def clear(self, k: int) -> None:
        """Take all visits of machine `k` out: its hours, bays, parts and trips are free again."""
        for slot in self.chosen[k]:
            self._count(k, slot, -1)
        self.chosen[k] = []

    def _count(self, k: int, slot: Slot, sign: int) -> None:
        visits, (row, day, _) = self.machines[k], slot
        for at, w, time in visits.work(slot):
            self.used[at, w] += sign * time
            if visits.site >= 0:
                trips = self.trips[visits.site, at]
                # Travel is paid by the first visit of a mechanic's day at a ranch and given back
                # with the last.
                before, trips[w] = trips[w] > 0, trips[w] + sign
                more = int(trips[w] > 0) - int(before)
                self.used[at, w] += self.case.travel[visits.site] * more
        for at, halves in visits.bays_taken(slot):
            self.bays[at] += sign * halves
        if len(visits.parts):
            # A part drawn on a day is gone on all days after it.
            self.drawn[visits.parts, day:] += sign * visits.need[row][:, None]

    def reprice(self, k: int) -> None:
        """Bring what machine `k` costs by itself up to date."""
        self.own[k] = own_cost(self.machines[k], self.chosen[k])

    def total(self) -> float:
        """Return the price of the whole plan of this yard."""
        return float(self.own.sum()) + sum(self.shared_money().values())

    def price_of_one_more(self, k: int) -> Floats:
        """Return what each visit of machine `k` would add, infinite if there is no room.

        Money, shape (R, H, C).
        """
        visits = self.machines[k]
        price = visits.cost + (visits.lost @ visits.loss)[:, :, None]
        if visits.uses is None:
            self._add_time(visits, price)
        else:
            price += self._price_of_uses(visits.uses)
        if len(visits.parts):
            short = visits.need[:, :, None] > self.slack(visits.parts)[None] + ticks.TOLERANCE
            price[(short & (visits.need > 0)[:, :, None]).any(axis=1)] = np.inf
        return price

    def _add_time(self, visits: Visits, price: Floats) -> None:
        """Add to `price` the overtime and trip of one mechanic on one day; infinite if full."""
        case, extra = self.case, np.zeros_like(self.used)
        if visits.site >= 0:
            # Who goes there anyway takes one more machine without travelling again.
            new_trip = self.trips[visits.site] == 0
            extra = new_trip * case.travel[visits.site]
            price += new_trip * case.trip_cost[visits.site]
        after = (self.used + extra)[None] + visits.time[:, None, None]
        # Only the overtime that this visit adds is its own; what is there already has been paid.
        over_now = np.maximum(0, self.used - case.regular)
        price += (np.maximum(0, after - case.regular) - over_now) * case.overtime
        # No room is an infinite price, so that one minimum over the array finds the best place that
        # is free.
        price[after > case.longest] = np.inf
        if visits.site < 0:
            price[visits.halves[:, None] > (case.bays - self.bays)[None]] = np.inf

    def _price_of_uses(self, uses: Uses) -> Floats:
        """Return (R, H, C): overtime and trips of visits by crews or over days; infinite if full.

        All entries of `uses` are priced at once and then added up by visit.
        """
        case, day, who = self.case, uses.day, uses.who
        used, regular = self.used[day, who], case.regular[day, who]
        after, money = used + uses.time, np.zeros(len(day))
        if uses.site >= 0:
            new_trip = self.trips[uses.site, day, who] == 0
            after = after + new_trip * case.travel[uses.site]
            money += new_trip * case.trip_cost[uses.site]
        over = np.maximum(0, after - regular) - np.maximum(0, used - regular)
        money += over * case.overtime[who]
        money[after > case.longest[day, who]] = np.inf
        price = np.zeros(uses.shape).reshape(-1)
        np.add.at(price, uses.visit, money)
        full = uses.halves > (case.bays - self.bays)[uses.bay_day]
        price[uses.bay_visit[full]] = np.inf
        return price.reshape(uses.shape)

    def beside(self, k: int, coming: int = 0) -> Floats:
        """Return `price_of_one_more`, infinite too where the machine's other visits forbid it.

        Money, shape (R, H, C).  `coming`: mask of the tasks that are put in together, in order.
        """
        price = self.price_of_one_more(k)
        if self.chosen[k] or self.machines[k].precedence is not None:
            price[~compatible(self.machines[k], self.chosen[k], coming)] = np.inf
        return price

    def slot_with(self, k: int, row: int, spot: tuple[int, int], second: int = -1) -> Slot | None:
        """Return the cheapest visit of a row with room on a day with a mechanic, or None.

        `second` is the second person to prefer, where the row needs one.
        """
        day, w = spot
        visits = self.machines[k]
        # One visit a machine and day: two would pay a visit twice for what one can do.
        if any(day == other for _, other, _ in self.chosen[k]):
            return None
        price = self.beside(k)[row, day]
        crews = np.flatnonzero((visits.lead == w) & np.isfinite(price)).tolist()
        if not crews:
            return None
        return row, day, min(crews, key=lambda c: (visits.second[c] != second, price[c]))

    def waiting(self, k: int) -> Flags:
        """Return which tasks of machine `k` are not planned, shape (n,)."""
        waits = np.ones(len(self.machines[k].tasks), dtype=bool)
        for row, _, _ in self.chosen[k]:
            waits &= ~self.machines[k].member[row]
        return waits

    def unkept(self) -> list[str]:
        """Return the tasks that wait although they may not."""
        return [
            visits.tasks[i].id
            for k, visits in enumerate(self.machines)
            for i in np.flatnonzero(self.waiting(k) & ~visits.may_wait)
        ]

    def places_of(self, k: int) -> dict[str, Spot]:
        """Return where each planned task of machine `k` stands: day, mechanic, second person."""
        visits = self.machines[k]
        return {
            visits.tasks[i].id: self.spot_of(k, slot)
            for slot in self.chosen[k]
            for i in np.flatnonzero(visits.member[slot[0]])
        }

    def spot_of(self, k: int, slot: Slot) -> Spot:
        """Return day, mechanic and second person of a visit of machine `k`."""
        visits, names = self.machines[k], self.case.mechanics
        lead, second = int(visits.lead[slot[2]]), int(visits.second[slot[2]])
        return Spot(slot[1], names[lead].id, names[second].id if second >= 0 else None)

    def places(self) -> dict[str, Spot]:
        """Return where each planned task stands: day, mechanic, second person."""
        return {
            task: spot
            for k in range(len(self.machines))
            for task, spot in self.places_of(k).items()
        }

    def shared_money(self) -> dict[str, float]:
        """Return what no machine causes alone: hours of overtime, and trips (money by term)."""
        over = np.maximum(0, self.used - self.case.regular).sum(axis=0) @ self.case.overtime
        trips = (self.trips > 0).sum(axis=(1, 2)) @ self.case.trip_cost
        return {"overtime": float(over), "trip": float(trips)}

    def fits(self, k: int, slot: Slot) -> bool:
        """Tell whether a visit (row, first day, crew) has room and goes with its machine's own."""
        if any(slot[1] == day for _, day, _ in self.chosen[k]):
            return False
        return bool(np.isfinite(self.beside(k)[slot]))

    def slack(self, parts: Ints) -> Floats:
        """Return how many more of each part may be drawn on a day, (len(parts), H)."""
        left = self.case.stock[parts] - self.drawn[parts]
        # The least that is left on that day or any later one: drawing more would starve a later
        # visit.
        return np.minimum.accumulate(left[:, ::-1], axis=1)[:, ::-1]


def own_cost(visits: Visits, slots: list[Slot], ignored: int | None = None) -> float:
    """Return what one machine costs by itself: its visits, waiting tasks and lost bookings.

    Money; `slots` are (row, first day, crew).  With `ignored` one waiting task is left out of it.
    """
    waiting = np.ones(len(visits.tasks), dtype=bool)
    lost = np.zeros(len(visits.bookings), dtype=bool)
    cost = 0.0
    for row, day, w in slots:
        cost += visits.cost[row, day, w]
        # A booking is lost once, however many of the machine's visits come too late for it.
        lost |= visits.lost[row, day]
        waiting &= ~visits.member[row]
    if ignored is not None:
        waiting[ignored] = False
    if waiting.any():
        cost += visits.wait_cost[waiting].sum() + visits.resort * (waiting & ~visits.may_wait).sum()
        lost |= visits.wait_lost[waiting].any(axis=0)
    return float(cost + visits.loss[lost].sum())
