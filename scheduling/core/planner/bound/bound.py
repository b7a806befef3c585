"""Prove that no plan of a yard costs less than a bound, by column generation over patterns.

For any prices with the right signs the Lagrangian bound is: prices times right-hand sides, plus
the negative part of what each waiting task, lost booking and best pattern would cost at them
(Lasdon 1970, *Optimization Theory for Large Systems*, chapter 3; from memory).  It holds whether
or not the programme was solved to its end, so a run that is stopped still proves something.
Prices are smoothed towards the best ones so far (Wentges 1997, Int. Trans. Oper. Res. 4:151).
When no pattern pays any more, cuts that the solution breaks are added (`cuts`) and it goes on.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from scheduling.core.planner.plan import Draft
from scheduling.core.planner.problem import Case, Flags, Floats
from scheduling.core.planner.visits import ALL_SUBSETS, Visits, machine_visits

from .coupling import Coupling, Prices, coupling_of, fixed_part, hour_prices, visit_prices
from .lanes import lanes_of, levelled
from .master import Master
from .pricing import Pattern, Pricer
from .visit_table import VisitTable, stack

# Between the two extremes of Wentges: at 0 the prices of an unfinished programme swing wildly, at 1
# they would never move. Of 0.6, 0.8 and 0.9 on a shop of 427 machines 0.8 proved most in 40 rounds;
# on shops of 84 and 100 machines with work 0.6 and 0.8 did as well.
SMOOTHING = 0.75
"""Share of the best prices so far in the prices that are tried next."""

ROUNDS_TO_CUTS = 4
"""Rounds of patterns between two looks for broken cuts, once programme and bound are near."""

# On the demo's shop of 84 machines: of 5 %, 20 % and never before the end, 20 % was first at 1 %.
NEAR = 0.2
"""Fraction of the programme's money within which the bound is near it."""

CLOSE = 1e-6
"""Fraction of the cost at which programme and bound are taken for equal."""


@dataclass(slots=True)
class Bound:
    """What column generation knows: a proven `value`, its `prices`, and the patterns found.

    `relaxed` is the money of the programme over those patterns after so many `rounds`.
    """

    rows: VisitTable
    coupling: Coupling
    pricer: Pricer
    master: Master
    value: float
    prices: Prices | None
    relaxed: float
    rounds: int = 0

    def near(self, within: float = NEAR) -> bool:
        """Tell whether the programme over the known patterns is close to what is proven.

        `within` is a fraction of the programme's money.
        """
        return self.relaxed - self.value <= within * abs(self.relaxed)

    def priced(self, prices: Prices) -> tuple[Pricer, Floats]:
        """Return the pricer of patterns, and (R, N) each visit's reduced cost on a mechanic-day."""
        # The price of a mechanic-day itself is left out: "at most one pattern" is not relaxed but
        # kept when patterns are priced, which makes the bound stronger.
        charged = self.pricer.charged(self.hour(prices))
        return charged, self.pricer.cost - self.paid(prices)

    def hour(self, prices: Prices) -> Floats:
        """Return the price of an hour of regular time on each day (at most 0), (H,)."""
        return hour_prices(self.coupling, prices, self.rows.case.days)

    def paid(self, prices: Prices) -> Floats:
        """Return, in shape (R, N), what limits and cuts pay for each visit on a mechanic-day."""
        cuts = self.master.cuts
        by_day = visit_prices(self.rows, self.coupling, prices)
        by_day += cuts.paid(prices.padded(len(cuts.items)).cut)
        paid = by_day[:, self.pricer.days]
        self.pricer.elsewhere.pay(paid, prices.bay, self.hour(prices))
        return paid


def start_bound(case: Case, machines: list[Visits]) -> Bound:
    """Return the programme of a yard before any pattern is in it."""
    rows = stack(case, [part for v in machines for part in _bounded(case, v)])
    coupling = coupling_of(rows)
    rows = levelled(rows, coupling)
    lanes = lanes_of(rows, coupling)
    if not lanes.days_apart:
        # Where one day stands for several its bays would be asked for all of them; bays that can
        # never bind are left out instead.
        rows = replace(rows, halves=np.zeros_like(rows.halves))
    master = Master(rows, coupling, lanes)
    return Bound(rows, coupling, Pricer(rows, lanes), master, -np.inf, None, np.inf)


def _bounded(case: Case, visits: Visits) -> list[Visits]:
    """Return the machine as it is, or split into machines of few tasks when rows are missing.

    A visit of the whole machine is then up to m visits of its m parts, each charged 1/m of
    what a visit costs as such: never more in all, so the bound still holds.
    """
    if visits.complete:
        return [visits]
    tasks = list(visits.tasks)
    # Neighbours in due order go together (`tasks` are sorted so): those share visits most often,
    # and a visit within one part is hardly relaxed.
    parts = [tasks[i : i + ALL_SUBSETS] for i in range(0, len(tasks), ALL_SUBSETS)]
    return [machine_visits(case, visits.machine, part, 1.0 / len(parts)) for part in parts]


def raise_bound(bound: Bound, rounds: int, good_enough: float, stop: Callable[[], bool]) -> bool:
    """Improve the bound for some rounds, or until it proves `good_enough` (money).

    Returns whether more rounds could raise it further.
    """
    for _ in range(rounds):
        # Stopping anywhere is safe: `value` is the best of bounds that were each proven for
        # themselves, not an estimate of where the programme would end.
        if stop() or bound.value >= good_enough:
            return bound.value < good_enough
        bound.relaxed = bound.master.solve()
        # Cuts come in before the programme is solved to its end: most of those that its first
        # solutions break its last one would break too, and its end is slow to come.
        bound.rounds += 1
        early = bound.rounds % ROUNDS_TO_CUTS == 0 and bound.near()
        if early and _add_cuts(bound):
            bound.relaxed = bound.master.solve()
        if not _add_patterns(bound) and not _add_cuts(bound):
            return False
    return True


def _add_patterns(bound: Bound) -> int:
    """Add patterns that pay and return how many those are; none when the programme is solved."""
    # The programme over known patterns lies above the optimum of all patterns, the bound below:
    # when they meet no further pattern can pay.
    if bound.relaxed - bound.value <= CLOSE * abs(bound.relaxed):
        return 0
    exact = bound.master.prices()
    tried = exact if bound.prices is None else bound.prices.blend(exact, SMOOTHING)
    # Smoothed prices may find nothing that pays at the exact ones (a misprice); only when the exact
    # prices find nothing either is the programme solved.
    return _try_prices(bound, tried, exact) or _try_prices(bound, exact, exact)


def _add_cuts(bound: Bound) -> int:
    """Add the cuts that the programme's solution breaks and return how many those are."""
    master = bound.master
    return master.add_cuts(master.cuts.broken(master.visits()))


def _try_prices(bound: Bound, tried: Prices, exact: Prices) -> int:
    """Price patterns at `tried`, note the bound, and add those that pay at `exact` prices."""
    # A price of the wrong sign would reward breaking a limit, and the sum below would prove
    # nothing.
    tried = tried.clamped()
    pricer, reduced = bound.priced(tried)
    values, patterns = pricer.best(reduced)
    proven = fixed_part(bound.coupling, tried, bound.rows.case.bays)
    proven += float(tried.cut @ bound.master.cuts.limits)
    # Each mechanic-day takes its best pattern or stays empty, so a best pattern above 0 counts as
    # 0; alike mechanic-days count as often as there are.
    proven += float(bound.pricer.lanes.count @ np.minimum(0.0, values))
    # Bounds of later rounds may be lower (the prices swing), so the best one is kept with its
    # prices: what follows from prices holds for these only.
    if bound.prices is None or proven > bound.value:
        bound.value, bound.prices = proven, tried
    return bound.master.add(_paying(bound, patterns, exact))


def priced_without(bound: Bound, banned: Flags) -> int:
    """Add patterns that pay at the programme's own prices, and return how many those are.

    They hold no visit that is `banned`, (R, N), and prove nothing.
    """
    exact = bound.master.prices()
    pricer, reduced = bound.priced(exact.clamped())
    patterns = pricer.best(np.where(banned, np.inf, reduced))[1]
    return bound.master.add(_paying(bound, patterns, exact))


def _paying(bound: Bound, patterns: list[Pattern], exact: Prices) -> list[Pattern]:
    paid = bound.paid(exact)
    # The solver's own tolerance: to it a pattern that pays less than this does not pay.
    return [p for p in patterns if reduced_cost(bound, exact, paid, p) < -1e-7]


def reduced_cost(bound: Bound, prices: Prices, paid: Floats, pattern: Pattern) -> float:
    """Return a pattern's money less what the programme pays for it, cuts of sets left out.

    `paid` is what `Bound.paid` returns at the same prices.
    """
    lane = bound.pricer.lanes.of_spot[pattern.day, pattern.mechanic]
    earned = float(paid[list(pattern.rows), lane].sum()) + float(prices.mechanic_day[lane])
    return pattern.cost - earned - float(bound.hour(prices)[pattern.day]) * pattern.regular


def start_from(bound: Bound, draft: Draft) -> None:
    """Put a plan's mechanic-days into the programme, and start its prices from what they cost.

    Each task's first price is its share, by hours, of its visit.  The bound that it proves is
    poor, but smoothing towards it spares half of the rounds that the programme's own first
    prices, which are wild, would need.
    """
    machine_at = {(v.machine.id, v.tasks): k for k, v in enumerate(bound.rows.machines)}
    task_at = {task: t for t, task in enumerate(bound.rows.task_ids)}
    # A task need never be worth more than letting it wait costs, so prices start from there.
    price = bound.coupling.wait.copy()
    chosen: dict[tuple[int, int], list[int]] = {}
    for visits, slots in zip(draft.machines, draft.chosen, strict=True):
        k = machine_at.get((visits.machine.id, visits.tasks))
        for row, day, crew in slots:
            w = int(visits.lead[crew])
            if k is not None:
                chosen.setdefault((day, w), []).append(int(bound.rows.starts[k]) + row)
            done = [visits.tasks[i] for i in np.flatnonzero(visits.member[row])]
            hours = sum(t.hours for t in done) or 1.0
            for task in done:
                t = task_at[task.id]
                price[t] = min(price[t], visits.cost[row, day, crew] * task.hours / hours)
    of_spot = bound.pricer.lanes.of_spot
    bound.master.add([bound.pricer.pattern(of_spot[s], rows) for s, rows in sorted(chosen.items())])
    first = bound.master.zero_prices(price)
    _try_prices(bound, first, first)
