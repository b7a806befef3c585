"""Which machines a run is about: those of one shop, or some of them."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

MOST_IDS = 5000
"""More machines than this are not named one by one in a query: their whole shop is loaded."""


@dataclass(frozen=True)
class Scope:
    """The machines of a shop; with `ids`, only those (all of them of that shop)."""

    shop_id: int
    ids: tuple[int, ...] | None = None

    @classmethod
    def of(cls, shop_id: int, ids: Collection[int] | None = None) -> "Scope":
        """Return the scope of these machines, or of the whole shop where they are many."""
        if ids is None or len(ids) > MOST_IDS:
            return cls(shop_id)
        return cls(shop_id, tuple(sorted(ids)))

    def machines(self) -> Q:
        """Return the condition on rows of machines."""
        return Q(yard__shop=self.shop_id) if self.ids is None else self._these("pk")

    def on(self, path: str) -> Q:
        """Return the condition on rows whose machine is reached by `path`."""
        if self.ids is None:
            return Q(**{f"{path}__yard__shop": self.shop_id})
        return self._these(path)

    def _these(self, path: str) -> Q:
        ids = self.ids or ()
        return Q(**{path: ids[0]}) if len(ids) == 1 else Q(**{f"{path}__in": ids})


def transposed(rows: Iterable[tuple[Any, ...]], width: int) -> list[tuple[Any, ...]]:
    """Turn rows into `width` columns."""
    found = list(zip(*rows, strict=True))
    return found or [()] * width
