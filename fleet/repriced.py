"""What a booking costs once its days or its machine are others; pure.

A price that was the usual one (day rate times days) is the usual one again; one that was agreed
keeps its price a day.  Half a day counts as a day, as it does when a booking is made.
"""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


@dataclass(frozen=True)
class Priced:
    """Days of a booking, first and last included, and the day rate of its machine."""

    first_day: date
    last_day: date
    day_rate: Decimal

    @property
    def days(self) -> int:
        """How many days are paid for."""
        return (self.last_day - self.first_day).days + 1

    @property
    def usual(self) -> Decimal:
        """What is asked for it without more being said."""
        return self.day_rate * self.days


def repriced(value: Decimal | None, was: Priced, now: Priced) -> Decimal | None:
    """Return the price for other days or another machine; None where there was none."""
    if value is None or was == now or was.days < 1 or now.days < 1:
        return value
    if value == was.usual:
        return now.usual.quantize(CENT)
    return (value / was.days * now.days).quantize(CENT, ROUND_HALF_UP)
