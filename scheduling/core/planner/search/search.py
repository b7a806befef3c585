"""The search for one yard's plan: quick plans, a proven bound, then improvement.

The steps are a fixed sequence of rounds that depend on the seed and the size alone; the clock
only cuts it off.  So a run that ends by proof is the same every time, and more time never gives a
worse plan: it goes through the same steps and on from there.
"""

from collections.abc import Callable, Iterable, Mapping
from math import inf
from random import Random

from scheduling.core.planner.bound import (
    Bound,
    Tightening,
    money_step,
    raise_bound,
    raised,
    start_bound,
    start_from,
)
from scheduling.core.planner.control import Reporter, RunLimits, Stage, Watch, silent
from scheduling.core.planner.plan import (
    Draft,
    by_stake,
    completed,
    greedy_plan,
    placed_plan,
    settled,
    standing_plan,
)
from scheduling.core.planner.problem import Case, Problem, Spot, case_of
from scheduling.core.planner.visits import Visits, visits_of

from .candidates import Keep, rises_of, within
from .dive import Dives
from .exact_model import Effort, Model
from .polish import Polish
from .rounding import Rounding, best_rounding
from .ruin import COOL, WARM, ruin_and_recreate
from .stand_ins import StandIns

PROOF = 1e-7
"""Fraction of the cost by which a plan may exceed its bound and still be called optimal."""


class Search:
    """One yard's search: the best plan so far and the best bound."""

    def __init__(
        self,
        problem: Problem,
        limits: RunLimits,
        watch: Watch,
        reporter: Reporter | None = None,
        known: Iterable[Visits] = (),
    ) -> None:
        """Price all visits; `known` are those before some tasks of the problem were released."""
        self.limits, self.watch, self.tuning = limits, watch, limits.tuning
        self.reporter = reporter or Reporter(watch, silent)
        self.stage = Stage.STARTING
        # One source of chance for the whole run, so that seed and size decide it.
        self.rng = Random(limits.seed)
        self.case: Case = case_of(problem)
        self.machines: list[Visits] = visits_of(self.case, known)
        self.standing = standing_plan(self.case, self.machines)
        self.best: Draft = self.standing
        self.greedy_cost = inf
        self.proven = 0.0
        self.bound: Bound | None = None
        self.stand_ins = StandIns(self.machines)
        self.step = money_step(self.case, self.machines)

    def first_plans(self, start: Mapping[str, Spot] | None = None) -> None:
        """Offer the previous plan, completed, and plans from nothing in two orders.

        `start` are places of another plan to go on from.
        """
        self.offer(completed(self.standing))
        if start:
            self.offer(completed(placed_plan(self.case, self.machines, start)))
        if self.watch.over():
            return
        greedy = greedy_plan(self.case, self.machines)
        self.greedy_cost = greedy.total()
        self.offer(greedy)
        if self.watch.over():
            return
        self.offer(greedy_plan(self.case, self.machines, by_stake(self.machines)))
        if not self.watch.over():
            self.offer(settled(self.best))

    def run(self) -> None:
        """Go through the stages until the plan is good enough or the seconds are over."""
        if self.machines and not self.content():
            self._improve()
            self.say()
        # Not proven best: only then may the standing plan be kept though it is a little dearer.
        if self.stopped() == "time":
            self._prefer_standing()

    def say(self, stage: Stage | None = None) -> None:
        """Tell how far the yard is, at the start of a stage or within it."""
        # Within a stage only the figures change.
        self.stage = stage or self.stage
        # Without the price of last resort, which is no money that anybody pays.
        cost = self.best.total() - self.case.resort * len(self.best.unkept())
        self.reporter.report(self.stage, cost, max(0.0, min(cost, self.proven)))

    def _improve(self) -> None:
        self.say(Stage.TRYING)
        rounds = self.tuning.rounds_before * len(self.machines)
        warm = WARM.over(min(rounds, self.tuning.most_before))
        self.offer(ruin_and_recreate(self.best, warm, self.rng, self.content))
        bound = self.prove()
        if self.content():
            return
        self.say(Stage.ROUNDING)
        self.offer(self._rounded(bound, self.tuning.tries))
        self.offer(settled(self.best))
        self.say(Stage.IMPROVING)
        self.polish(bound)

    def offer(self, draft: Draft) -> None:
        """Keep the plan if it is better than the best so far."""
        if draft.total() < self.best.total() - 1e-9:
            self.best = draft

    def content(self) -> bool:
        """Tell whether the search may stop; say now and then how far it is."""
        if self.reporter.due():
            self.say()
        return self.watch.over() or self.stopped() != "time"

    def stopped(self) -> str:
        """Return why the search may stop now: "optimal", "gap", or "time" for no such reason."""
        total = self.best.total()
        if total - self.proven <= PROOF * total:
            return "optimal"
        return "gap" if total - self.proven <= self.limits.gap * total else "time"

    def prove(self) -> Bound:
        """Solve the linear programme over patterns, and improve the plan by its prices meanwhile.

        Nothing here depends on how much time there is: with more of it the same is done and more.
        """
        self.say(Stage.PROVING)
        self.bound = bound = start_bound(self.case, self.machines)
        start_from(bound, self.best)
        polish: Polish | None = None
        more = True
        while more and not self.content():
            # The prices of the first rounds say nothing yet of which visits are worth a look.
            # After them a second worker has groups to solve, and no round is alone any more.
            if polish is None or self.limits.workers == 1:
                more = self._raise(bound, self.tuning.rounds_alone)
                if not more or self.content():
                    break
            self.offer(self._rounded(bound, self.tuning.tries_meanwhile))
            if self._tells(bound):
                rises = rises_of(bound, self.machines)
                polish = Polish(rises, bound.value, self.limits, self.watch, self.stand_ins, polish)
                more = self._improve_beside(bound, polish)
        return bound

    def _tells(self, bound: Bound) -> bool:
        """Tell whether the bound's prices say which visits are worth a look."""
        # A second worker has nothing else to do meanwhile, so it begins with poorer prices.
        return bound.near(self.tuning.telling) if self.limits.workers > 1 else bound.near()

    def _rounded(self, bound: Bound, tries: int) -> Draft:
        return best_rounding(Rounding(bound, self.machines), tries, self.rng, self.content)

    def _limit(self) -> float:
        """Return the money from which a dive is given up."""
        return (1 + self.tuning.as_good) * self.best.total()

    def _improve_beside(self, bound: Bound, polish: Polish) -> bool:
        """Improve the plan while the bound is raised; tell whether more rounds could raise it."""
        rounds, more = self.tuning.rounds_beside, [True]
        turns = self._groups(bound, rounds)

        def beside() -> None:
            more.append(self._raise(bound, rounds))

        for _ in range(max(1, self.tuning.rounds_alone // rounds)):
            if self.content() or not more[-1]:
                break
            self.offer(polish.once(self.best, self.tuning.first_work, self.rng, beside, turns))
        return more[-1]

    def _groups(self, bound: Bound, rounds: int) -> int:
        """Return how many groups are solved in the time of so many rounds of the programme."""
        return max(1, round(rounds * _cells(bound) / self.tuning.cells))

    def _raise(self, bound: Bound, rounds: int) -> bool:
        """Raise the bound and tell whether more rounds could raise it further."""
        # A bound that proves the plan within the wanted gap ends the search; more is not asked for.
        good_enough = self.best.total() * (1 - max(PROOF, self.limits.gap))
        more = raise_bound(
            bound, rounds, good_enough, lambda: self._note_from(bound) or self.watch.over()
        )
        self._note(bound.value)
        return more

    def polish(self, bound: Bound) -> None:
        """Alternate neighbourhoods with attempts at the whole yard, with growing effort.

        Beside them dives look for other plans, and the bound is raised as long as that is worth
        while.
        """
        rises, work = rises_of(bound, self.machines), self.tuning.first_work
        polish = Polish(rises, bound.value, self.limits, self.watch, self.stand_ins)
        tightening = Tightening(bound, self.watch.over)
        dives = Dives(bound, self.machines, self.watch.over, self.rng)
        turns = self._groups(bound, 1)
        while not self.content():
            # The rises belong to the prices of this bound, so they are held against its value, not
            # against what cuts have proven since with other prices.
            room = self.best.total() - bound.value + 1e-6 * abs(bound.value)
            keep = within(rises, room)
            if sum(int(k.sum()) for k in keep) <= self.tuning.whole_yard:
                # Ten times a group's effort, because it ends in proof; a judgement, not recorded on
                # what.
                self._solve_whole(keep, 10 * work)
            for _ in range(self.tuning.series):
                if self.content() or polish.too_late():
                    return
                beside = self._turn(dives, tightening)
                self.offer(polish.once(self.best, work, self.rng, beside, turns))
                self._note(tightening.value)
            work *= self.tuning.more_work

    def _turn(self, dives: Dives, tightening: Tightening) -> Callable[[], None]:
        """Return what is done next beside a group: steps of a dive and of the bound, by turns."""

        steps = max(1, int(self.tuning.diving * self.tuning.cells / _cells(dives.bound)))

        def step() -> None:
            # The programme is one and the same, so a dive must be over before it is raised.
            if dives.waiting and not tightening.over:
                tightening.step()
                dives.waiting -= 1
                return
            for _ in range(steps):
                if dives.step(self._limit()):
                    dives.waiting = self.tuning.series
                    break
            if dives.found:
                self.offer(self._cooled(dives.found))
                dives.found = None

        return step

    def _cooled(self, plan: Draft) -> Draft:
        """Return a plan as ruin and recreate leaves it."""
        rounds = min(self.tuning.rounds_after * len(self.machines), self.tuning.most_after)
        return ruin_and_recreate(plan, COOL.over(rounds), self.rng, self.content)

    def _note_from(self, bound: Bound) -> bool:
        """Note how far the programme's bound is, tell, and let it go on."""
        self._note(bound.value)
        if self.reporter.due():
            self.say()
        return False

    def _note(self, bound: float) -> None:
        self.proven = max(self.proven, raised(bound, self.step))

    def _solve_whole(self, keep: Keep, work: float) -> None:
        """Plan all machines anew over the visits in `keep`.

        No better plan holds another visit, so what is proven of these holds for all plans; not
        so where a machine has more sets of tasks than rows.
        """
        effort = Effort(work, self.watch.left(), 1, self.rng.randrange(1 << 30))
        answer = Model(self.best, list(range(len(self.machines))), keep).solve(effort)
        if answer.draft is not None:
            self.offer(answer.draft)
        if answer.draft is not None and all(v.complete for v in self.machines):
            self._note(min(answer.bound, self.best.total()))

    def _prefer_standing(self) -> None:
        """Return to a standing plan that is complete, hardly dearer, and no worse than greedy."""
        # Two plans that cost nearly the same are not alike for those who have read the first one,
        # so it stays unless another saves clearly more.
        stands = self.standing.places()
        tasks = self.case.problem.tasks.values()
        whole = all(task.previous is None or task.id in stands for task in tasks)
        anything = any(self.standing.chosen)
        most = min(self.greedy_cost, self.best.total() * (1 + self.tuning.standing_margin))
        if anything and whole and self.standing.total() <= most:
            self.best = self.standing


def _cells(bound: Bound) -> int:
    """Return machines times lanes: a measure of the work of one round of the programme."""
    return max(1, len(bound.rows.machines) * len(bound.pricer.lanes.count))
