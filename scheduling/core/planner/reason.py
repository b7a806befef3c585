"""What speaks for a task's place in the plan, as values and as a sentence."""

from dataclasses import dataclass

from .entities import Spot

CENT = 0.005
"""Money below which two places cost the same."""


@dataclass(frozen=True, slots=True)
class Reason:
    """What speaks for a place.

    `fixed` is the rule that leaves no choice; `other` the cheapest other place, which costs
    `more` money by term; `barred_day` would save `barred_saving` but for `barred_by`; `together`
    are the tasks done in the same visit.
    """

    fixed: str | None = None
    other: Spot | None = None
    more: tuple[tuple[str, float], ...] = ()
    barred_day: int | None = None
    barred_saving: float = 0.0
    barred_by: str = ""
    together: tuple[str, ...] = ()

    def sentence(self) -> str:
        """Return the reason as one sentence for a person."""
        parts = [self._choice()]
        if self.together:
            parts.append(f"one visit with {', '.join(self.together)}")
        if self.barred_day is not None:
            day, saving = self.barred_day, self.barred_saving
            parts.append(f"day {day} would cost {saving:.2f} less, but {self.barred_by}")
        text = "; ".join(part for part in parts if part)
        return text[0].upper() + text[1:] + "."

    def _choice(self) -> str:
        if self.fixed is not None:
            return self.fixed
        if self.other is None:
            return "no other place is free for it alone"
        total = sum(money for _, money in self.more)
        terms = ", ".join(f"{name.replace('_', ' ')} {money:+.2f}" for name, money in self.more)
        place = f"day {self.other.day} with {self.other.mechanic}"
        if abs(total) < CENT:
            return f"{place} would cost the same"
        detail = f" ({terms})" if terms else ""
        return f"the cheapest other place, {place}, would cost {total:.2f} more{detail}"
