"""Which parts the work of a shop's plan takes: its named ones, or substitutes, by the plan's days.

All pages and letters that say what is fetched, used or ordered ask here, and `parts_taken` settles
it by what the shelf holds at this moment.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

from django.db.models import Q

from fleet.models import FittingPart, Fluid, Part, Shop
from scheduling.models import PlannedWork
from scheduling.plan.parts_taken import PartTaken, parts_taken
from scheduling.plan.shelf import Stock, WhatTakes, load_stock, parts_of, place_needs
from scheduling.queries.day_minutes import with_words_since


@dataclass(frozen=True)
class StandsIn:
    """A substitute that some work takes: so many pieces of `part` in place of `named`.

    there: pieces of the named part on the shelf.  tag, day: of the machine, and of its job.
    """

    tag: str
    day: date
    named: Part
    part: Part
    quantity: float
    there: float

    @property
    def named_is_kept(self) -> bool:
        """Whether enough of the named part lies there, and other work takes it."""
        return self.there >= self.quantity

    @property
    def says_why(self) -> str:
        """Say why the named part is not taken."""
        if self.named_is_kept:
            return f"In place of {self.named}: those on the shelf are for other work."
        if self.there > 0:
            return f"In place of {self.named}: too few on the shelf."
        return f"In place of {self.named}: none on the shelf."


@dataclass(frozen=True)
class PlannedParts:
    """takes: by key of the work, what its places take; jobs: its machine's tag and its day; parts,
    stock: of all that have or are a substitute, by key.
    """

    takes: dict[str, tuple[PartTaken, ...]] = field(default_factory=dict)
    jobs: dict[str, tuple[str, date]] = field(default_factory=dict)
    parts: dict[int, Part] = field(default_factory=dict)
    stock: dict[int, Stock] = field(default_factory=dict)

    def stand_ins(self, work_key: str) -> list[StandsIn]:
        """Return the substitutes that some work takes, those of one part together."""
        total: dict[tuple[int, int], float] = {}
        for one in self.takes.get(work_key, ()):
            if one.stands_in and not one.late:
                pair = one.named, one.part
                total[pair] = total.get(pair, 0.0) + one.quantity
        return [
            StandsIn(
                *self.jobs[work_key], self.parts[named], self.parts[part], much, self._there(named)
            )
            for (named, part), much in total.items()
        ]

    @cached_property
    def all_stand_ins(self) -> list[StandsIn]:
        """The substitutes that any work of the plan takes."""
        return [one for key in self.takes for one in self.stand_ins(key)]

    def in_place_of(self, part: Part) -> list[StandsIn]:
        """Return what is taken in place of a part by any work of the plan."""
        return [one for one in self.all_stand_ins if one.named == part]

    def lacks(self, work_key: str, part: Part) -> bool:
        """Whether neither a part nor what does in its place is sure to be there for some work."""
        takes = self.takes.get(work_key, ())
        return any(one.late and one.named == part.pk for one in takes)

    def _there(self, part: int) -> float:
        return self.stock[part].on_hand if part in self.stock else 0.0


def planned_parts(shop: Shop | None, today: date) -> PlannedParts:
    """Return which parts the work of a shop's plan takes; twelve queries at the most.

    Work under way has its parts already; what is done or put off takes none.
    """
    pairs = FittingPart.objects.exclude(instead=None).order_by().values_list("part", "instead")
    either = {pk for pair in pairs.distinct() for pk in pair if pk is not None}
    if shop is None or not either:
        return PlannedParts()
    rows = list(_rows(shop, either))
    if not rows:
        return PlannedParts()
    needs = place_needs({row["work_key"]: _what(row) for row in rows})
    order = sorted(rows, key=lambda row: _turn(row, today))
    stock = load_stock(shop, lambda day: (day - today).days, parts_of(needs) & either)
    takes = parts_taken(
        needs, stock, [(row["work_key"], (row["job__day"] - today).days) for row in order]
    )
    parts = Part.objects.in_bulk({p for t in takes.values() for one in t for p in _both(one)})
    jobs = {row["work_key"]: (row["machine__tag"], row["job__day"]) for row in rows}
    return PlannedParts(takes, jobs, parts, stock)


def _both(one: PartTaken) -> Iterable[int]:
    return (one.named, one.part)


def _rows(shop: Shop, either: set[int]) -> Iterable[dict[str, Any]]:
    """Return the work that still takes parts which have a substitute, or are one."""
    fits = FittingPart.objects.filter(Q(part__in=either) | Q(instead__in=either)).order_by()
    fluids = Fluid.objects.filter(part__in=either).order_by()
    takes = Q(machine__makeup__in=fits.values("makeup"))
    takes |= Q(machine__makeup__in=fluids.values("makeup"))
    work = PlannedWork.objects.filter(
        takes, plan__shop=shop, job__isnull=False, service__isnull=False
    )
    rows = with_words_since(work).values(
        "work_key", "service_id", "machine_id", "machine__makeup_id", "machine__tag",
        "begun", "position",
        "job__day", "job__position", "due_point__last_done_on", "plan__first_day",
        "put_off", "left_since",  # type: ignore[misc]  # with_words_since names them
    )  # fmt: skip
    return (row for row in rows if not (row["put_off"] or _is_done(row)))


def _is_done(row: dict[str, Any]) -> bool:
    done = row["due_point__last_done_on"]
    return done is not None and done >= row["plan__first_day"]


def _what(row: dict[str, Any]) -> WhatTakes:
    return WhatTakes(row["service_id"], row["machine_id"], row["machine__makeup_id"])


def _turn(row: dict[str, Any], today: date) -> tuple[bool, date, int, int, str]:
    fetched = row["begun"] or row["left_since"] is not None
    day = max(row["job__day"], today)
    return not fetched, day, row["job__position"], row["position"], row["work_key"]
