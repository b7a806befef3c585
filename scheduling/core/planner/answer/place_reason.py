"""What speaks for a task's place in the plan, or against any, as values and as a sentence."""

from dataclasses import dataclass

from scheduling.core.planner.problem import Spot

CENT = 0.005
"""Money below which two places cost the same."""

WORTH_SAYING = 0.5
"""Expected days early, or late, from which a sentence speaks of them."""

RELAXATIONS_SAID = 2
"""Ways out named in a sentence, the cheapest first."""


@dataclass(frozen=True, slots=True)
class Relaxation:
    """Something that would have to give for a task to stand at `spot`.

    `kind` is "overtime" (`amount` hours of mechanic `what` beyond the limit of the day), "bay"
    (`amount` bays),
    "part" (`what` there `amount` days sooner, 0 if none is on its way), "booking" (`what` begins
    or ends `amount` days later or, below 0, sooner), "limit" (`amount` days later) or "swap" (the
    tasks of `what` go elsewhere).  `price` is the money of the whole plan then less that of the
    plan now; what gives costs nothing in it but overtime.  `days` are those of the booking, or
    those on which hours or bays are short.
    """

    kind: str
    spot: Spot
    amount: float
    what: str
    price: float
    days: tuple[int, int] = (0, 0)

    def words(self) -> str:
        """Return the way out in words, with its day and its price in money."""
        return f"{self._condition()} it could be done on {place(self.spot)} {self._money()}"

    def _condition(self) -> str:
        first, last = self.days
        moved = f"{abs(self.amount):.0f} day{'s' if abs(self.amount) > 1 else ''}"
        return {
            "overtime": f"with {self.amount:.2f} h more of {self.what} on day {first}",
            "bay": f"with {'half a' if self.amount < 1 else 'a'} bay more on day {first}",
            "part": f"with {self.what} {moved} sooner"
            if self.amount
            else f"with enough of {self.what}",
            "booking": f"if the booking of days {first} to {last} began {moved} later"
            if self.amount > 0
            else f"if the booking of days {first} to {last} ended {moved} sooner",
            "limit": f"with its limit {moved} later",
            "swap": f"if {self.what} gave way",
        }[self.kind]

    def _money(self) -> str:
        if abs(self.price) < CENT:
            return "at the same cost"
        return f"for {abs(self.price):.2f} {'more' if self.price > 0 else 'less'}"


def place(spot: Spot) -> str:
    """Return a place in words: its day and mechanic."""
    return f"day {spot.day} with {spot.mechanic}"


@dataclass(frozen=True, slots=True)
class PlaceReason:
    """What speaks for a place, or for waiting.

    `fixed` is the rule that leaves no choice; `other` the cheapest other place, which costs
    `more` money by term; `barred_day` would save `barred_saving` but for `barred_by`, and there
    an hour of the mechanic is worth `hour_worth` money to the plan.  `sooner` is the cheapest
    free place on an earlier day and `sooner_more` its money.  `together` are the tasks done in
    the same visit, which saves `visit_saved` money against a visit of its own; the task comes
    `early_days` before it is due and `late_days` after (both expected), and the days early cost
    `early_money`.  A task that `waits` has the cheapest free place as `other`, and `gives`.
    """

    fixed: str | None = None
    other: Spot | None = None
    more: tuple[tuple[str, float], ...] = ()
    barred_day: int | None = None
    barred_saving: float = 0.0
    barred_by: str = ""
    hour_worth: float | None = None
    sooner: Spot | None = None
    sooner_more: float = 0.0
    together: tuple[str, ...] = ()
    visit_saved: float = 0.0
    early_days: float = 0.0
    early_money: float = 0.0
    late_days: float = 0.0
    waits: bool = False
    gives: tuple[Relaxation, ...] = ()

    def sentence(self) -> str:
        """Return the reason as one sentence for a person, in days and money."""
        parts = [self._waiting()] if self.waits else [self._choice(), *self._company()]
        parts += [*self._barred(), *self._sooner(), *self._relaxations()]
        text = "; ".join(part for part in parts if part)
        return text[0].upper() + text[1:] + "."

    def _choice(self) -> str:
        if self.fixed is not None:
            return self.fixed
        if self.other is None:
            return "no other place is free for it alone"
        total = sum(money for _, money in self.more)
        if abs(total) < CENT:
            return f"{place(self.other)} would cost the same"
        terms = f" ({self._terms()})" if self.more else ""
        return f"the cheapest other place, {place(self.other)}, would cost {total:.2f} more{terms}"

    def _terms(self) -> str:
        return ", ".join(f"{name.replace('_', ' ')} {money:+.2f}" for name, money in self.more)

    def _waiting(self) -> str:
        if self.other is None:
            return "no place is free for it in this plan"
        total = sum(money for _, money in self.more)
        if abs(total) < CENT:
            return f"{place(self.other)} would cost as much as putting it off"
        more = "more" if total > 0 else "less"
        return (
            f"the cheapest free place, {place(self.other)}, would cost {abs(total):.2f} {more} "
            f"than putting it off ({self._terms()})"
        )

    def _company(self) -> list[str]:
        if not self.together:
            return []
        visit = f"one visit with {', '.join(self.together)}"
        if self.visit_saved < CENT or self.early_days < WORTH_SAYING:
            return [visit]
        return [
            f"{visit} saves another one ({self.visit_saved:.2f}) and uses up "
            f"{self.early_days:.1f} days of its interval early ({self.early_money:.2f})"
        ]

    def _barred(self) -> list[str]:
        if self.barred_day is None:
            return []
        less = f"day {self.barred_day} would cost {self.barred_saving:.2f} less"
        said = [f"{less}, but {self.barred_by}"]
        if self.hour_worth is not None and self.hour_worth >= CENT:
            said.append(f"an hour more there would be worth {self.hour_worth:.2f} to the plan")
        return said

    def _sooner(self) -> list[str]:
        """Speak of earlier days for late work, unless they were spoken of."""
        said = self.barred_day is not None or self.waits or self.late_days < WORTH_SAYING
        if said or self.sooner is None or self.sooner == self.other:
            return []
        return [f"sooner, {place(self.sooner)}, would cost {self.sooner_more:.2f} more"]

    def _relaxations(self) -> list[str]:
        return [relaxation.words() for relaxation in self.gives[:RELAXATIONS_SAID]]
