"""A week of a yard and what is short in it, as values and as a sentence."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Supply:
    """A "skill", "mechanic" or "bay" in one week.

    Hours (bays: bay-days) `used` and `available`, and the money `worth` of one more hour (half a
    bay-day) on `day`, the best of the week; None where the bound had no time.
    """

    kind: str
    name: str
    used: float
    available: float
    worth: float | None = None
    day: int | None = None

    def words(self) -> str:
        """Return how full it is, in hours or bay-days, and what more of it is worth."""
        unit = "bay-days" if self.kind == "bay" else "h"
        name = f"the bays of {self.name}" if self.kind == "bay" else f"{self.kind} {self.name}"
        text = f"{name} ({self.used:.1f} of {self.available:.1f} {unit} used)"
        if self.worth is None:
            return text
        more = "half a bay-day" if self.kind == "bay" else "an hour"
        return f"{text}: {more} more on day {self.day} would be worth about {self.worth:.2f}"


@dataclass(frozen=True, slots=True)
class Bottleneck:
    """A yard's week (days `first_day` to `last_day`): what is `scarce`, if anything, and the rest.

    Without worths it is the fullest mechanic or bay, if that is nearly full.
    """

    yard: str
    week: int
    first_day: int
    last_day: int
    scarce: Supply | None
    others: tuple[Supply, ...]

    def sentence(self) -> str:
        """Return what is short on the days of the week, as a sentence."""
        days = f"days {self.first_day} to {self.last_day}"
        if self.scarce is None:
            return f"Nothing is short on {days}."
        return f"Short on {days} is {self.scarce.words()}."
