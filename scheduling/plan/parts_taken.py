"""Which part each piece of work takes: the named one, or what its make-up names in its place.

This is the one place where that is settled.  The plan asks it before it is made, by the days on
which work stands or falls due; the pull list, the job sheet, the job card, the order list and the
parts to order ask it by the days of the plan.  So no shelf is counted twice, and no plan has to
choose between parts: it is told which shelf each piece of work is supplied from.

Asked before, the plan may still put work on other days.  What was shared out then reaches on those
days too, since the plan keeps to it, and `share_out` lets nobody go without whom it can serve.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from scheduling.core.substitution import PartWant, ShelfSupply, share_out
from scheduling.plan.decided import Decided
from scheduling.plan.shelf import PlaceNeed, Stock, parts_of
from scheduling.plan.work_to_plan import WorkToPlan


@dataclass(frozen=True)
class PartTaken:
    """What one place takes: pieces or mL of `part`; named: the part that the make-up names there.

    late: nothing that does is sure to be there by its day.
    """

    named: int
    part: int
    quantity: float
    late: bool = False

    @property
    def stands_in(self) -> bool:
        """Whether it is taken in place of the named part."""
        return self.part != self.named


def parts_taken(
    needs: Mapping[str, Sequence[PlaceNeed]],
    stock: Mapping[int, Stock],
    order: Sequence[tuple[str, int]],
) -> dict[str, tuple[PartTaken, ...]]:
    """Return what each work takes, by its key; what is in no order takes what it names.

    order: key and day (0: today) of the work that is shared out, the first first.  Only parts that
    have a substitute, or are one, can be taken otherwise than they are named.
    """
    either = _with_substitutes(needs)
    asked = [
        (key, place, max(day, 0))
        for key, day in order
        for place, need in enumerate(needs.get(key, ()))
        if {need.part, need.instead} & either and need.quantity > 0
    ]
    wants = [_want(needs[key][place], day, stock) for key, place, day in asked]
    supplies = {pk: _supply(stock[pk]) for pk in either if pk in stock}
    served = {
        (key, place): (given.part if given else wants[n].part, not given or given.day > day)
        for n, ((key, place, day), given) in enumerate(
            zip(asked, share_out(wants, supplies), strict=True)
        )
    }
    return {
        key: tuple(
            PartTaken(need.part, part, need.quantity, late)
            for place, need in enumerate(of_work)
            for part, late in [served.get((key, place), (need.part, False))]
        )
        for key, of_work in needs.items()
    }


def _with_substitutes(needs: Mapping[str, Sequence[PlaceNeed]]) -> set[int]:
    pairs = {key: [need for need in each if need.instead] for key, each in needs.items()}
    return parts_of(pairs)


def _want(need: PlaceNeed, day: int, stock: Mapping[int, Stock]) -> PartWant:
    own = stock.get(need.part)
    return PartWant(
        day, need.part, need.quantity, need.instead,
        orderable=own is not None and day >= own.lead,
    )  # fmt: skip


def _supply(stock: Stock) -> ShelfSupply:
    return ShelfSupply(
        stock.on_hand, tuple((one.counts_from, one.quantity) for one in stock.arrivals)
    )


def order_before_planning(work: Sequence[WorkToPlan], decided: Decided) -> list[tuple[str, int]]:
    """Return the order in which work is supplied before it is planned, each with its day.

    Work under way has its parts already.  What is pinned is wanted on its day; other work where it
    stands or when it falls due, whichever comes first: nobody waits for a delivery that comes on
    the day for which work was put down, while what does in its place lies on the shelf.
    """
    found = [(_day(one, decided), one) for one in work if one.key not in decided.later]
    found.sort(key=lambda pair: (pair[1].begun is None, pair[0], pair[1].due[1], pair[1].turn))
    return [(one.key, day) for day, one in found]


def _day(work: WorkToPlan, decided: Decided) -> int:
    if work.begun is not None:
        return 0
    if pin := decided.pins.get(work.key):
        return pin.day
    days = [max(int(work.due[1]), 0)]
    if work.limit_day is not None:
        days.append(work.limit_day)
    if stood := decided.stood.get(work.key):
        days.append(stood.day)
    return min(days)
