"""Plan some machines of a yard anew with an exact solver while the others stay.

Each visit that may be used is a 0/1 variable; its price holds all that happens inside it
(`visits`), so only hours, overtime, trips, bays and stock tie machines together.  Time is in
ticks and money in whole units of a scale; the plan is priced anew afterwards.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from scheduling.core.planner.plan import Draft
from scheduling.core.planner.visits import Slot

from .candidates import Keep
from .constraints import MachineModel, Variable, add_machine

# Whole numbers for the solver: fine enough that one price is off by far less than a cent, while a
# sum of a plan's prices stays far from the limit of 64 bits (9e18).
MONEY_UNITS = 1e10
"""Whole units of money into which the plan's cost is divided."""

QUANTITY_SCALE = 1000
"""Whole units a part, so that litres and metres may be fractions."""

Terms = list[tuple[Variable, int]]


@dataclass(frozen=True, slots=True)
class Effort:
    """What one solve may take: deterministic time, wall-clock seconds, threads, and the seed."""

    work: float
    seconds: float
    workers: int
    seed: int


@dataclass(frozen=True, slots=True)
class Solution:
    """The plan found, or None, and the least cost (money) proven for the same choice.

    `work` is the deterministic time that it took.
    """

    draft: Draft | None
    bound: float
    proven: bool
    work: float


class Model:
    """The constraint model over the visits in `keep` of the machines in `free`."""

    def __init__(self, draft: Draft, free: list[int], keep: Keep) -> None:
        # `base` is what stays: its hours, bays, stock and trips are constants of the model.
        self.before, self.base = draft, draft.copy()
        for k in free:
            self.base.clear(k)
        self.unit = MONEY_UNITS / max(1e-9, abs(draft.total()))
        self.model = cp_model.CpModel()
        self.hours: dict[tuple[int, int], Terms] = defaultdict(list)
        self.machines: dict[int, MachineModel] = {}
        self.money: list[tuple[Variable, float]] = []
        for k in free:
            self.machines[k] = MachineModel(draft.machines[k], draft.chosen[k])
            add_machine(self.model, self._flag, self.machines[k], keep[k])
            self.money += self.machines[k].money
        self._add_trips()
        self._add_hours()
        self._add_bays()
        self._add_stock()
        self._minimise()

    def _flag(self, hint: bool) -> Variable:
        variable = self.model.new_bool_var("")
        # Every variable gets a hint, or the solver does not start from the plan that is there.
        self.model.add_hint(variable, hint)
        return variable

    def _used(self) -> Iterator[tuple[MachineModel, Slot, Variable]]:
        for machine in self.machines.values():
            for slot, used in machine.slots.items():
                yield machine, slot, used

    def _at_most(self, terms: Terms, room: int) -> None:
        # A limit that cannot bind is left out: most mechanic-days of a neighbourhood have room for
        # all.
        if sum(weight for _, weight in terms) > room:
            self.model.add(weighted(terms) <= room)

    def _add_trips(self) -> None:
        """Charge travel and trip once for each ranch, day and mechanic not already going."""
        trips: dict[Slot, Variable] = {}
        uses: dict[tuple[int, Slot], list[Variable]] = defaultdict(list)
        for k, machine in self.machines.items():
            for slot, used in machine.slots.items():
                for day, w, _ in machine.visits.work(slot):
                    trip = (machine.visits.site, day, w)
                    # Where somebody who stays in the plan goes to the ranch anyway, the trip is
                    # paid.
                    if machine.visits.site >= 0 and self.base.trips[trip] == 0:
                        uses[k, trip].append(used)
        for (_, trip), used_then in uses.items():
            if trip not in trips:
                site, day, w = trip
                trips[trip] = self._flag(bool(self.before.trips[trip] > 0))
                self.money.append((trips[trip], float(self.base.case.trip_cost[site])))
                self.hours[day, w].append((trips[trip], int(self.base.case.travel[site])))
            # Tight for each machine, as it has one visit a day: its visits share one limit instead
            # of one each.
            self.model.add(sum(used_then) <= trips[trip])

    def _add_hours(self) -> None:
        case = self.base.case
        for machine, slot, used in self._used():
            for day, w, time in machine.visits.work(slot):
                self.hours[day, w].append((used, time))
        for (day, w), terms in self.hours.items():
            regular, longest = int(case.regular[day, w]), int(case.longest[day, w])
            taken = int(self.base.used[day, w])
            self._at_most(terms, longest - taken)
            if longest > regular and case.overtime[w] > 0:
                # Bounded from below only: its price keeps it as small as the hours allow.
                over = self.model.new_int_var(0, longest - regular, "")
                self.model.add_hint(over, max(0, int(self.before.used[day, w]) - regular))
                self.model.add(weighted(terms) + (taken - regular) <= over)
                self.money.append((over, float(case.overtime[w])))

    def _add_bays(self) -> None:
        bays: dict[int, Terms] = defaultdict(list)
        for machine, slot, used in self._used():
            for day, halves in machine.visits.bays_taken(slot):
                bays[day].append((used, halves))
        for day, terms in bays.items():
            self._at_most(terms, int(self.base.case.bays[day] - self.base.bays[day]))

    def _add_stock(self) -> None:
        """Limit what is drawn by each day before more arrives, and by the last."""
        drawn: dict[int, list[tuple[int, Variable, int]]] = defaultdict(list)
        for machine, (row, day, _), used in self._used():
            visits = machine.visits
            for p, quantity in zip(visits.parts.tolist(), visits.need[row], strict=True):
                if quantity:
                    drawn[p].append((day, used, round(quantity * QUANTITY_SCALE)))
        for p, uses in drawn.items():
            slack = self.base.slack(np.array([p]))[0]
            # As in the bound (`coupling`): between two arrivals only the last day can bind.
            for last in [*np.flatnonzero(np.diff(slack) > 0).tolist(), len(slack) - 1]:
                terms = [(used, quantity) for day, used, quantity in uses if day <= last]
                # Quantities are rounded to thousandths; the small addend keeps 0.9999 of one from
                # becoming 0.
                self._at_most(terms, int(slack[last] * QUANTITY_SCALE + 1e-3))

    def _minimise(self) -> None:
        prices = [(variable, round(price * self.unit)) for variable, price in self.money]
        self.model.minimize(weighted(prices))

    def solve(self, effort: Effort) -> Solution:
        """Return the best plan found within the seconds of `effort`, and what is proven."""
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = effort.workers
        # all constraints into the linear relaxation: bounds close sooner on these models
        solver.parameters.linearization_level = 2
        solver.parameters.random_seed = effort.seed
        # With one worker deterministic time ends the solve at the same point in every run; seconds
        # only guard the deadline, and a solve that they cut off is not repeatable.
        solver.parameters.max_deterministic_time = effort.work
        solver.parameters.max_time_in_seconds = max(0.01, effort.seconds)
        status = solver.solve(self.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Solution(None, 0.0, False, effort.work)
        worked = float(solver.response_proto.deterministic_time)
        found = self.base.copy()
        for k, machine in self.machines.items():
            for slot, used in machine.slots.items():
                if solver.value(used):
                    found.put(k, slot)
            found.reprice(k)
        # The plan is priced in floating point, what is proven in whole units: only the open part of
        # the solver's gap is taken over, less all that rounding can have done.
        open_units = max(0.0, solver.objective_value - solver.best_objective_bound)
        bound = found.total() - open_units / self.unit - self._rounding()
        return Solution(found, bound, status == cp_model.OPTIMAL, worked)

    def _rounding(self) -> float:
        """Return the money by which whole units may have misjudged a plan of these machines."""
        # Half a unit for each price that counts: of a task at most its visit, a trip, its waiting
        # or a booking that it loses, and the overtime of each mechanic-day.
        tasks = sum(len(m.visits.tasks) for m in self.machines.values())
        return (4.0 * tasks + len(self.hours)) * 0.5 / self.unit


def weighted(terms: Iterable[tuple[Variable, int]]) -> cp_model.LinearExpr:
    """Return the sum of variables times whole weights, in whatever unit those have."""
    variables, weights = zip(*terms, strict=True)
    return cp_model.LinearExpr.weighted_sum(variables, weights)
