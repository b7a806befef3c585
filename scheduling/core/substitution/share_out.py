"""Share what lies on the shelf, and what is on its way, out over the work that wants it.

1. Each part goes to the work that names it and comes too soon to order one for it: that is kept.
2. All other work has its turn in the order in which it is handed in (by day).  It takes its part,
   and where that does not reach by its day what does in its place.  So a job of today takes the
   substitute that lies there, and for work of next month which names it another one is ordered.
   Where there is none, other work may make room: of all that can, the last in the order takes its
   own substitute, and loses nothing by it.
3. Work that neither reaches in time is given the first of both that comes later; it waits for it.

This is a matching of work to shelves by augmenting paths (Kuhn, 1955, The Hungarian method for the
assignment problem): no work that was served loses its part to other work, and where each takes one
piece as much work is served as can be.  A place on a machine is served from one shelf whole: belts
are changed as a set, and half of each make is no set (common practice).
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from scheduling.core.substitution.supplies import ShelfSupply


@dataclass(frozen=True)
class PartWant:
    """What one place on a machine takes on a day (0: today): pieces of `part`, or of `instead`.

    orderable: there is time to order its part for that day.
    """

    day: int
    part: int
    quantity: float
    instead: int | None = None
    orderable: bool = False

    @property
    def parts(self) -> tuple[int, ...]:
        """The parts that do, the named one first."""
        if self.instead is None or self.instead == self.part:
            return (self.part,)
        return self.part, self.instead


@dataclass(frozen=True)
class Served:
    """The part that a want is served with, and the first day on which it can be."""

    part: int
    day: int


def share_out(
    wants: Sequence[PartWant], supplies: Mapping[int, ShelfSupply]
) -> list[Served | None]:
    """Return what each want is served with, in their order; None: nothing that is known of.

    A part without supply was never counted: nobody can say that it lies there.
    """
    shelves = _Shelves(wants, supplies)
    for number, want in enumerate(wants):
        if not want.orderable:
            shelves.put_if_it_reaches(number, want.part, want.day)
    for number in shelves.without():
        shelves.make_room(number, wants[number].day)
    for number in shelves.without():
        for day in shelves.later_days(wants[number]):
            if shelves.make_room(number, day):
                break
    return shelves.given()


class _Shelves:
    """What is taken from each shelf so far."""

    def __init__(self, wants: Sequence[PartWant], supplies: Mapping[int, ShelfSupply]) -> None:
        self.wants, self.supplies = wants, supplies
        self.places: dict[int, Served] = {}
        self.takers: dict[int, dict[int, int]] = defaultdict(dict)
        """Part -> want -> day on which it takes it."""
        self.fixed: set[int] = set()
        """Wants that were asked to make room, and cannot: a search that failed ends there again."""

    def given(self) -> list[Served | None]:
        """Return what each want is served with."""
        return [self.places.get(number) for number in range(len(self.wants))]

    def without(self) -> list[int]:
        """Return the wants that nothing serves yet, in order."""
        return [number for number in range(len(self.wants)) if number not in self.places]

    def later_days(self, want: PartWant) -> list[int]:
        """Return the days after a want's own on which any part comes that does."""
        supplies = [self.supplies[part] for part in want.parts if part in self.supplies]
        days = {day for supply in supplies for day, _ in supply.arrivals}
        return sorted(day for day in days if day > want.day)

    def put_if_it_reaches(self, number: int, part: int, day: int) -> bool:
        """Serve a want with a part on a day if that reaches, others served as they are."""
        supply = self.supplies.get(part)
        if supply is None:
            return False
        takers = self.takers[part]
        taken = [(when, self.wants[other].quantity) for other, when in takers.items()]
        if not supply.reaches([*taken, (day, self.wants[number].quantity)]):
            return False
        self.places[number] = Served(part, day)
        takers[number] = day
        return True

    def make_room(self, number: int, day: int) -> bool:
        """Serve a want on a day, by letting others move if need be."""
        asked = {number} | self.fixed
        if self._serve(number, day, asked):
            return True
        self.fixed |= asked - {number}
        return False

    def _serve(self, number: int, day: int, asked: set[int]) -> bool:
        """Serve a want; asked: those that are not asked to move, since they were already."""
        parts = self.wants[number].parts
        if any(self.put_if_it_reaches(number, part, day) for part in parts):
            return True
        return any(
            self._in_the_place_of(other, number, day, asked)
            for part in parts
            for other in self._that_may_move(part, asked)
        )

    def _that_may_move(self, part: int, asked: set[int]) -> Iterator[int]:
        """Yield who is served from a shelf and has another one, the last in the order first."""
        for other in sorted(self.takers[part], reverse=True):
            if other not in asked and len(self.wants[other].parts) > 1:
                yield other

    def _in_the_place_of(self, other: int, number: int, day: int, asked: set[int]) -> bool:
        """Serve a want from the shelf that another one leaves, if that one is served elsewhere."""
        before = self._taken_off(other)
        if self.put_if_it_reaches(number, before.part, day):
            asked.add(other)
            if self._serve(other, before.day, asked):
                return True
            self._taken_off(number)
        self.places[other] = before
        self.takers[before.part][other] = before.day
        return False

    def _taken_off(self, number: int) -> Served:
        place = self.places.pop(number)
        del self.takers[place.part][number]
        return place
