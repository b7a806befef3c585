"""A week of a yard and what is short in it, as values."""

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
