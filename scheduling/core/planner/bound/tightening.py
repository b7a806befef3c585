"""Raise a proven bound further while the search for plans goes on.

The programme of `bound` is taken up where it was left and gets cuts over several machines
(`set_cuts`).  Each step solves it once and prices patterns once, so that it fits between or
beside the steps of the search.
"""

from collections.abc import Callable

import numpy as np

from .bound import CLOSE, SMOOTHING, Bound, reduced_cost
from .coupling import Prices, fixed_part
from .cut_pricing import CutPricer
from .cuts import AnyCut
from .pricing import Pattern
from .set_cuts import SetCut, broken_sets

# Later cuts gain less and less while pricing grows dearer. What it was tuned on is not recorded.
WORTH_WHILE = 2e-5
"""Fraction of the bound by which it must rise from cuts to cuts, else it is left there."""


class Tightening:
    """The state of the programme: the best `value` (money) and prices, and whether it is `over`.

    A step is cut short when `stop` says so; what it proves holds all the same.
    """

    def __init__(self, bound: Bound, stop: Callable[[], bool]) -> None:
        self.bound, self.value, self.stop = bound, bound.value, stop
        self.prices = bound.prices
        self.over = bound.prices is None
        self.reached = -np.inf

    def step(self) -> None:
        """Solve the programme, and add patterns that pay or else cuts that are broken."""
        master = self.bound.master
        relaxed = master.solve()
        if relaxed - self.value > CLOSE * abs(relaxed):
            exact = master.prices()
            tried = exact if self.prices is None else self.prices.blend(exact, SMOOTHING)
            if self._try(tried, exact) or self._try(exact, exact):
                return
        self._add_cuts()

    def _add_cuts(self) -> None:
        master = self.bound.master
        enough = self.value - self.reached > WORTH_WHILE * abs(self.value)
        # Cuts within machines first: they are free in pricing, those over several machines are not.
        cuts: list[AnyCut] = [*master.cuts.broken(master.visits())]
        if not cuts:
            cuts += broken_sets(master.rows, master.patterns, master.shares())
        # Two ends: the last series of cuts did not lift the bound enough, or none is broken any
        # more.
        self.over = not enough or not master.add_cuts(cuts)
        self.reached = self.value

    def _try(self, tried: Prices, exact: Prices) -> int:
        """Price patterns at `tried`, note the bound, and add those that pay at `exact` prices."""
        bound, cuts = self.bound, self.bound.master.cuts
        tried = tried.padded(len(cuts.items)).clamped()
        pricer, reduced = bound.priced(tried)
        values, patterns = CutPricer(pricer, cuts, tried.cut, self.stop).best(reduced)
        # The same sum as in `bound`, valid for the same reason; only that the patterns' prices are
        # lower bounds here where branching was cut off, which keeps the sum a lower bound.
        proven = fixed_part(bound.coupling, tried, bound.rows.case.bays)
        proven += float(tried.cut @ cuts.limits)
        proven += float(bound.pricer.lanes.count @ np.minimum(0.0, values))
        if proven > self.value:
            self.value, self.prices = proven, tried
        return bound.master.add(self._paying(patterns, exact))

    def _paying(self, patterns: list[Pattern], exact: Prices) -> list[Pattern]:
        bound, cuts = self.bound, self.bound.master.cuts
        paid = bound.paid(exact)
        found = []
        for p in patterns:
            price = reduced_cost(bound, exact, paid, p)
            price -= sum(
                # `bound.paid` holds what cuts pay for single visits; these cuts pay for whole
                # patterns.
                exact.cut[c] * w
                for c, w in cuts.entries(p)
                if isinstance(cuts.items[c], SetCut)
            )
            if price < -1e-7:
                found.append(p)
        return found
