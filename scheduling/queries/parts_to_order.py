"""Parts to order for the weeks to come: what the plan and the forecasts take beyond the shelf.

Work on a shop day takes its parts on that day, or the substitute that the pull list gives; every
other service, and each of its repeats, takes what its make-up names on the middle day of its
forecast: there is time to order that.  A part lacks from the day on which all that was taken by
then is more than the shelf holds, with what has arrived by then and what stands on the order list
already.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db.models import Sum, prefetch_related_objects

from fleet.models import OrderedFor, OrderLine, Part, Shop, StockMovement
from fleet.models.order_lines import USUAL_LEAD
from fleet.queries.parts_of_shop import deliveries_to_come
from fleet.queries.stock_words import say_amount
from scheduling.core.forecast import middle_times
from scheduling.models import DuePoint, PlannedWork
from scheduling.queries.covered_parts import CoveredPart, covered_parts
from scheduling.queries.narrowed_yard import YardNarrowing
from scheduling.queries.planned_parts import PlannedParts, StandsIn, planned_parts
from scheduling.queries.shelf_needs import ON_BUILD, Taking, add_up
from scheduling.queries.work_that_repeats import (
    plan_on_days,
    points_of_shop,
    repeating_work,
    skill_asked,
)

WEEKS = 12
ML_OF_A_LITRE = 1000
NEARLY = 1e-6
PARTS = (*ON_BUILD, "machine__makeup__fluids__part", "machine__makeup__fitting_parts__part")
"""What a piece of work takes: services name places, make-ups say what fits there."""


@dataclass(frozen=True)
class PartToOrder:
    """A part that will lack.

    lacks: pieces or mL to buy; takes: what the weeks take in all; there: on the shelf now; coming:
    on its way or on the list.  jobs: what lacks it, the first first, as rows of no line yet.
    covered: what is taken in its place, and is not counted here.
    """

    shop: Shop
    part: Part
    lacks: float
    takes: float
    there: float
    coming: float
    need_by: date
    jobs: tuple[OrderedFor, ...]
    covered: tuple[CoveredPart, ...] = ()

    @property
    def order_by(self) -> date:
        """The last day on which it can be ordered and still be there in time."""
        lead = self.part.lead_days
        return self.need_by - timedelta(days=USUAL_LEAD if lead is None else lead)

    @property
    def price(self) -> float:
        """What it costs to buy."""
        fluid = self.part.kind == Part.Kind.FLUID
        return float(self.part.cost) * self.lacks / (ML_OF_A_LITRE if fluid else 1)

    @property
    def much(self) -> str:
        """How much to buy, in the shop's units."""
        return say_amount(self.part, self.lacks, self.shop)

    @property
    def says_why(self) -> str:
        """Say what is taken, and what there is: "takes 9; 4 on the shelf, 2 coming"."""
        said = f"{WEEKS} weeks take {say_amount(self.part, self.takes, self.shop)};"
        said += f" {say_amount(self.part, max(self.there, 0.0), self.shop)} on the shelf"
        if self.coming:
            said += f", {say_amount(self.part, self.coming, self.shop)} ordered or on the list"
        for one in self.covered:
            said += f"; {one.part} covers {one.much} more"
        return said


@dataclass(frozen=True)
class PartsToOrder:
    """What a shop has to buy for the weeks to come, the soonest to order first.

    uncounted: names of parts that the work takes and that nobody has ever counted.  covered: all
    that planned work takes in place of parts that are too few.
    """

    shop: Shop
    last_day: date
    rows: Sequence[PartToOrder]
    uncounted: Sequence[str]
    covered: Sequence[CoveredPart] = ()

    @property
    def price(self) -> float:
        """What all of it costs."""
        return sum(row.price for row in self.rows)

    def narrowed(self, wanted: YardNarrowing) -> "PartsToOrder":
        """Return the parts that lack for a job that is wanted, each as it lacks in all; one query.

        A shelf is the whole shop's: what lacks does so for all its jobs together.
        """
        if not wanted.narrows:
            return self
        machines = wanted.machine_ids(self.shop)
        service = wanted.service

        def fits(job: OrderedFor) -> bool:
            of_it = service is None or job.service_id == service.pk
            return of_it and job.machine_id in machines

        return replace(self, rows=[row for row in self.rows if any(map(fits, row.jobs))])


@dataclass(frozen=True)
class _Taken:
    """So much of a part for a job, on its day."""

    quantity: float
    job: OrderedFor


def parts_to_order(shop: Shop, today: date, weeks: int = WEEKS) -> PartsToOrder:
    """Return what the next weeks take beyond what is there; a constant number of queries."""
    last = today + timedelta(days=7 * weeks - 1)
    planned = planned_parts(shop, today)
    parts, taken, unkept = _taken(shop, today, weeks, planned)
    moved = StockMovement.objects.filter(shop=shop, part__in=parts).order_by()
    on_hand = dict(moved.values_list("part").annotate(total=Sum("quantity")))
    arrivals = _arrivals(shop, today)
    counted = {pk for pk in taken if pk in on_hand or pk in arrivals}
    found = (
        _row(shop, parts[pk], taken[pk], on_hand.get(pk) or 0.0, arrivals[pk]) for pk in counted
    )
    covered = covered_parts(planned.all_stand_ins)
    rows = [
        replace(row, covered=tuple(one for one in covered if one.named == row.part))
        for row in found
        if row
    ]
    rows.sort(key=lambda row: (row.order_by, row.part.name, row.part.pk))
    uncounted = {parts[pk].name for pk in taken if pk not in counted} | unkept
    return PartsToOrder(shop, last, rows, sorted(uncounted), covered)


def _taken(
    shop: Shop, today: date, weeks: int, supplied: PlannedParts
) -> tuple[dict[int, Part], dict[int, list[_Taken]], set[str]]:
    """Return the parts that are taken, by whom and when; and names of what has no part."""
    works, points = plan_on_days(shop).left, points_of_shop(shop)
    names = sorted({skill_asked(point) for point in points})
    repeats = middle_times(repeating_work(points, works, today, names), 7 * weeks)
    coming = [
        (point, [int(day) for day in days])
        for point, days in zip(points, repeats, strict=True)
        if len(days)
    ]
    planned = [work for work in works if work.service_id and not _is_done(work)]
    prefetch_related_objects(planned, *PARTS)
    prefetch_related_objects([point for point, _ in coming], *PARTS)
    parts: dict[int, Part] = {}
    taken: dict[int, list[_Taken]] = defaultdict(list)
    unkept: set[str] = set()
    for work, days in _dated(planned, coming, today):
        key = work.work_key if isinstance(work, PlannedWork) else ""
        for part, name, quantity in _supplied(work, supplied.stand_ins(key)):
            if part is None:
                unkept.add(name)
                continue
            parts[part.pk] = part
            for day in days:
                taken[part.pk].append(_Taken(quantity, _job(work, day)))
    return parts, taken, unkept


def _is_done(work: PlannedWork) -> bool:
    """Whether the book shows it as done: its parts have left the shelf."""
    done = work.due_point and work.due_point.last_done_on
    return bool(done and done >= work.plan.first_day)


def _supplied(
    work: Taking, instead: Sequence[StandsIn]
) -> Iterable[tuple[Part | None, str, float]]:
    """Yield the parts that work takes, with name and quantity: its own ones, and substitutes."""
    for need in add_up([work]):
        less = sum(one.quantity for one in instead if one.named == need.part)
        if need.quantity > less + NEARLY:
            yield need.part, need.name, need.quantity - less
    for one in instead:
        yield one.part, str(one.part), one.quantity


def _job(work: Taking, day: date) -> OrderedFor:
    planned = isinstance(work, PlannedWork)
    job = OrderedFor(machine=work.machine, service=work.service, day=day, planned=planned)
    job.stands_on = day if planned else None
    return job


def _dated(
    planned: Iterable[Taking], coming: Iterable[tuple[DuePoint, Sequence[int]]], today: date
) -> Iterable[tuple[Taking, list[date]]]:
    for work in planned:
        yield work, [max(work.job.day, today)]  # type: ignore[attr-defined]  # it stands on one
    for point, days in coming:
        yield point, [today + timedelta(days=day) for day in days]


def _arrivals(shop: Shop, today: date) -> dict[int, list[tuple[date, float]]]:
    """Return what comes of each part and when; what stands on the list counts as there."""
    found: dict[int, list[tuple[date, float]]] = defaultdict(list)
    for row in deliveries_to_come(shop):
        found[row.part_id].append((max(row.counted_from, today), row.quantity))
    lines = OrderLine.objects.filter(shop=shop, ordered_at=None, dropped_at=None)
    for line in lines.only("part_id", "quantity"):
        found[line.part_id].append((today, line.quantity))
    return found


def _row(
    shop: Shop,
    part: Part,
    taken: list[_Taken],
    there: float,
    arrivals: list[tuple[date, float]],
) -> PartToOrder | None:
    """Return what lacks of a part at the worst, and from which day; None where nothing does."""
    total = lacks = 0.0
    need_by: date | None = None
    jobs: list[OrderedFor] = []
    for one in sorted(taken, key=lambda each: (each.job.day, str(each.job))):
        total += one.quantity
        come = sum(quantity for day, quantity in arrivals if day <= one.job.day)
        short = total - max(there, 0.0) - come
        if short > NEARLY:
            need_by = need_by or one.job.day
            jobs.append(one.job)
            lacks = max(lacks, short)
    if need_by is None:
        return None
    coming = sum(quantity for _, quantity in arrivals)
    return PartToOrder(shop, part, part.whole(lacks), total, there, coming, need_by, tuple(jobs))
