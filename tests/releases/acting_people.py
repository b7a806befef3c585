"""Who acts on the demo before it is dumped."""

from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Person, Shop


@dataclass(frozen=True)
class ActingPeople:
    """Who acts, in which shop, and when."""

    shop: Shop
    manager: Person
    desk: Person
    mechanic: Person
    now: datetime

    @property
    def today(self) -> date:
        """The shop's day."""
        return self.now.astimezone(self.shop.zone).date()
