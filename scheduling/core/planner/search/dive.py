"""Dive for a plan: settle the surest mechanic-days of the programme, solve it again, and so on.

Unlike rounding, which takes all patterns of one solution, each step lets the programme answer to
what has been settled, with new patterns for the tasks that are left, so that the last days fit as
well as the first.  (Diving with column generation: Joncour, Michel, Sadykov, Sverdlov,
Vanderbeck 2010, doi 10.1016/j.endm.2010.05.087; from memory.)
"""

from collections.abc import Callable
from dataclasses import replace
from random import Random

import numpy as np

from scheduling.core.planner.bound import Bound, priced_without
from scheduling.core.planner.plan import Draft, completed
from scheduling.core.planner.problem import Flags, Floats
from scheduling.core.planner.visits import Visits

from .pattern_plan import PatternPlan, owners_of

# Judged on shops of 200 machines: 6 steps left 0.4 to 1.0 % open, 12 to 25 steps 0.1 to 0.6 %.
STEPS = 12
"""Steps in which a plan is settled, at least."""

# Of 1, 2, 4 and 8 on two shops of 200 machines 8 left least open: 0.2 to 0.3 %.
ROUNDS = 8
"""Rounds of new patterns after a step, at most."""

LIKELY = 0.5
"""Share from which a pattern may be settled beside others in one step."""

FIRST = 0.3
"""What is added to the share of a pattern with a visit that is hard to place."""

NOISE = 0.2
"""How much a pattern's share is blurred, as a fraction of a whole pattern."""


class Dive:
    """One dive, step by step; without `rng` patterns are settled by their shares alone.

    The programme may not be used otherwise until the dive is `over` and left by `leave`.  It is
    given up once all that it can lead to costs more than `limit` (money).
    """

    def __init__(
        self,
        bound: Bound,
        machines: list[Visits],
        stop: Callable[[], bool],
        limit: float,
        rng: Random | None = None,
    ) -> None:
        self.bound, self.stop, self.limit, self.rng = bound, stop, limit, rng
        self.made = PatternPlan(bound, machines, owners_of(bound, machines))
        self.banned: Flags = np.zeros((len(bound.rows.time), len(self.made.free)), dtype=bool)
        self.held: set[int] = set()
        self.barred: set[int] = set()
        self.hard, self.long = _hard(bound), _long(bound)
        self.over = self.lost = False
        # `rounds` of answers to what was settled last, and the programme's `money` with it.
        self.rounds, self.money = ROUNDS, bound.master.solve()

    def plan(self) -> Draft | None:
        """Dive to the end and return the plan; None where `stop` came first."""
        while not self.over:
            self.step()
        return self.leave()

    def step(self) -> None:
        """Let the programme answer once to what is settled, or else settle more patterns."""
        self.over = self.stop() or not (self._answered() or self._settled_more())

    def _answered(self) -> bool:
        """Solve the programme with new patterns for the tasks that are left, if any pay."""
        master = self.bound.master
        more = self.rounds < ROUNDS and master.solved()
        # Each answer is a step of its own: whoever works beside a dive need not wait for all.
        if not more or not priced_without(self.bound, self.banned):
            self.rounds = ROUNDS
            return False
        self.money = master.solve()
        self.rounds += 1
        return True

    def _settled_more(self) -> bool:
        """Settle some patterns and solve the programme again; tell whether the dive goes on."""
        # What is settled is not undone: a programme dearer than the limit leads to no plan
        # that is wanted.
        self.lost = not self.bound.master.solved() or self.money > self.limit
        if self.lost or not self._settle():
            return False
        self._narrow()
        self.money, self.rounds = self.bound.master.solve(), 0
        return True

    def leave(self) -> Draft | None:
        """Give the programme back as it was, with more patterns; return the plan, if complete."""
        master = self.bound.master
        master.release([*self.held, *self.barred])
        master.solve()
        whole = self.over and not self.lost and not self.stop()
        return completed(self.made.finished()) if whole else None

    def _settle(self) -> int:
        """Settle the patterns with the largest shares and return how many those are."""
        shares = self.bound.master.shares()
        order = self._order(shares)
        most = max(1, int(self.bound.pricer.lanes.count.sum()) // STEPS)
        settled = 0
        for i in order:
            if settled and (shares[i] < LIKELY or settled >= most):
                break
            # Work over several days takes more of its mechanic than the programme knows, so it
            # has what it needs before others are beside it.
            long = self.long[list(self.bound.master.patterns[i].rows)].any()
            settled += self._hold(i, whole=not long)
        # Where no pattern fits whole, what fits of the first ones is settled.
        for i in order if not settled else ():
            settled += self._hold(i, whole=False)
            if settled:
                break
        return settled

    def _order(self, shares: Floats) -> list[int]:
        """Return the patterns that may be settled, the surest first."""
        patterns, sure = self.bound.master.patterns, {}
        for i in np.flatnonzero(shares > 1e-6).tolist():
            if i not in self.held:
                blur = NOISE * self.rng.random() if self.rng else 0.0
                # What finds a place with difficulty has its choice first.
                rows = list(patterns[i].rows)
                hard = FIRST * bool(self.hard[rows].any()) + bool(self.long[rows].any())
                sure[i] = float(shares[i]) + blur + hard
        return sorted(sure, key=lambda i: -sure[i])

    def _hold(self, i: int, whole: bool) -> bool:
        """Settle a pattern of the programme, or what has room of it; tell whether that is any."""
        master = self.bound.master
        pattern = master.patterns[i]
        first = sorted(pattern.rows, key=lambda row: not self.long[row])
        rows = self.made.take(replace(pattern, rows=tuple(first)), whole)
        if not rows:
            return False
        if len(rows) < len(pattern.rows):
            part = self.bound.pricer.pattern(self.made.lane(pattern), rows)
            master.add([part])
            i = master.place[part.key]
        self.held.add(i)
        master.hold(i)
        return True

    def _narrow(self) -> None:
        """Bar what has no room beside what is settled from the programme, and from new patterns."""
        table, master = self.bound.rows, self.bound.master
        open_lanes = np.array([bool(spots) for spots in self.made.free])
        room = self.made.room() & open_lanes
        room[table.member[:, self.made.done].any(axis=1)] = False
        new = np.argwhere(~room & ~self.banned)
        self.banned = ~room
        late = {
            i
            for row, n in new.tolist()
            for i in master.holding.get(row, ())
            if self.made.lane(master.patterns[i]) == n
        }
        late -= self.held | self.barred
        master.bar(late)
        self.barred |= late


def _long(bound: Bound) -> Flags:
    """Return the rows that may go on over several days, (R,)."""
    tasks = [task for visits in bound.rows.machines for task in visits.tasks]
    return np.asarray(bound.rows.member @ np.array([t.several_days for t in tasks]) > 0)


def _hard(bound: Bound) -> Flags:
    """Return the rows that may not wait, take a second person, or go on over days, (R,)."""
    tasks = [task for visits in bound.rows.machines for task in visits.tasks]
    teams = np.array([t.second is not None or t.several_days for t in tasks], dtype=bool)
    return np.asarray(bound.rows.member @ (teams | np.logical_not(bound.coupling.may_wait)) > 0)


class Dives:
    """Dives one after the other, a step at a time, the first without noise.

    `found` is the last one's plan, if it led to one; `waiting` counts down to the next.
    """

    def __init__(
        self, bound: Bound, machines: list[Visits], stop: Callable[[], bool], rng: Random
    ) -> None:
        self.bound, self.machines, self.stop, self.rng = bound, machines, stop, rng
        self.dive: Dive | None = None
        self.found: Draft | None = None
        self.count = self.waiting = 0

    def step(self, limit: float) -> bool:
        """Go one step on, and tell whether a dive has come to its end; `limit` is money."""
        if self.dive is None:
            rng = self.rng if self.count else None
            self.dive = Dive(self.bound, self.machines, self.stop, limit, rng)
            self.count += 1
        self.dive.step()
        ended = self.dive.over
        if ended:
            self.found, self.dive = self.dive.leave(), None
        return ended
