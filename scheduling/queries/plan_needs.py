"""What the plan of a shop needs, and what of that the set-up lacks."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import (
    Interval,
    LastDoneAnswer,
    LentHand,
    Machine,
    Meter,
    Person,
    Reading,
    Role,
    ServiceRecord,
    Shop,
    ShopHours,
)
from fleet.queries.set_up_needs import machines_without_interval
from fleet.saying import counted, joined
from scheduling.facts.prepared import rows_asked
from scheduling.models import DuePoint, MachineState, Plan, PlanSearch, State

NAMED = 3
"""Machines that are named in one sentence."""


@dataclass(frozen=True)
class PlanNeeds:
    """Sentences on what is lacking.

    first: without it there is no plan at all.  more: a plan is made, and is only as good as what
    is known.
    """

    first: list[str] = field(default_factory=list)
    more: list[str] = field(default_factory=list)

    @property
    def all(self) -> list[str]:
        """Everything, what stands in the way of any plan first."""
        return [*self.first, *self.more]


def plan_needs(shop: Shop, today: date) -> PlanNeeds:
    """Return what the plan of a shop still needs; four queries."""
    there = _there(shop, today)
    lacks = [] if there["open"] else ["the shop has no opening hours"]
    if not (there["own"] or there["lent"]):
        lacks.append("no mechanic has working hours")
    if not there["machine"]:
        return PlanNeeds([*lacks, "no machine works here yet"])
    if not there["ruled"]:
        lacks.append("no service recurs on any machine")
    if not (there["done"] or there["said"]):
        lacks.append("nobody has said when any service was last done")
    if there["metered"] and not there["read"]:
        lacks.append("no meter has been read")
    return PlanNeeds(lacks, _gaps(shop))


ASKED = ("open", "own", "lent", "machine", "ruled", "done", "said", "metered", "read")
"""Things that a plan needs, as `_of_shop` asks for them."""


def _there(shop: Shop, today: date) -> dict[str, bool]:
    """Return which of the things that a plan needs are there at all; one query."""
    ahead = today + timedelta(days=shop.horizon_days)
    (found,) = rows_asked(_of_shop, shop=shop.pk, today=today, ahead=ahead)
    return dict(zip(ASKED, map(bool, found), strict=True))


def _of_shop(shop: int, today: date, ahead: date) -> QuerySet[Shop, Any]:
    here = Q(machine__yard__shop=OuterRef("pk"), machine__retired_on=None)
    general = Q(makeup__machines__yard__shop=OuterRef("pk"), makeup__machines__retired_on=None)
    metered = _metered().filter(here)
    works = Person.objects.filter(role=Role.MECHANIC, is_active=True, working_hours__hours__gt=0)
    lent = LentHand.objects.filter(
        person__is_active=True, first_day__lte=ahead, last_day__gte=today
    )
    asked = (
        ShopHours.objects.filter(shop=OuterRef("pk")),
        works.filter(shop=OuterRef("pk")),
        lent.filter(shop=OuterRef("pk")),
        Machine.objects.filter(yard__shop=OuterRef("pk"), retired_on=None),
        Interval.objects.filter(here | general),
        ServiceRecord.objects.filter(here, service__isnull=False),
        LastDoneAnswer.objects.filter(here),
        metered,
        metered.filter(Exists(Reading.objects.filter(meter=OuterRef("pk")))),
    )
    named = {f"has_{name}": Exists(query) for name, query in zip(ASKED, asked, strict=True)}
    return Shop.objects.filter(pk=shop).annotate(**named).values_list(*named)


def _metered() -> QuerySet[Meter]:
    """Return the meters in use by which some service recurs, each once.

    Joined instead, each meter would come once for each interval and each of its readings.
    """
    by_it = Interval.objects.filter(meter_kind=OuterRef("kind"))
    general = Exists(by_it.filter(makeup=OuterRef("machine__makeup")))
    own = Exists(by_it.filter(machine=OuterRef("machine")))
    return Meter.objects.filter(Q(general) | Q(own), removed_at=None)


def _gaps(shop: Shop) -> list[str]:
    """Say which machines are planned for by guess, or not at all; three queries."""
    pairs = [
        (_tags(_bare, shop), "no service recurs on {0}"),
        (_tags(_unread, shop), "a meter was never read on {0}"),
        (
            _tags(_guessed, shop),
            "nobody has said when services that count as due were last done on {0}",
        ),
    ]
    return [words.format(_named(tags)) for tags, words in pairs if tags]


def _bare(shop: int) -> QuerySet[Machine, Any]:
    rows = machines_without_interval().filter(yard__shop=shop)
    return rows.order_by().values_list("tag")


def _unread(shop: int) -> QuerySet[Meter, Any]:
    read = Reading.objects.filter(meter=OuterRef("pk"))
    rows = _metered().filter(_working(shop)).exclude(Exists(read))
    return rows.order_by().values_list("machine__tag")


def _guessed(shop: int) -> QuerySet[DuePoint, Any]:
    rows = DuePoint.objects.filter(
        _working(shop), never_done=True, state__in=[State.DUE, State.OVERDUE]
    ).exclude(Exists(_answers()))
    return rows.order_by().values_list("machine__tag")


def _working(shop: int) -> Q:
    """Return what is of a working machine of a shop."""
    return Q(machine__yard__shop=shop, machine__retired_on=None)


def _answers() -> QuerySet[LastDoneAnswer]:
    """Return what was said of the service of a due point."""
    return LastDoneAnswer.objects.filter(machine=OuterRef("machine"), service=OuterRef("service"))


def _tags(build: Callable[[int], QuerySet[Any, Any]], shop: Shop) -> list[str]:
    """Return the tags that a query finds in a shop, each once."""
    return sorted({tag for (tag,) in rows_asked(build, shop=shop.pk)})


def _named(tags: Sequence[str]) -> str:
    if len(tags) <= NAMED:
        return joined(tags)
    return f"{', '.join(tags[:NAMED])} and {counted(len(tags) - NAMED, 'more machine')}"


def await_first_plan() -> QuerySet[Shop]:
    """Return the shops where something falls due and no plan has any work yet.

    Where the first plan was asked for already, it is not asked for again.
    """
    planned = Plan.objects.filter(shop=OuterRef("pk"), jobs__isnull=False)
    asked = PlanSearch.objects.filter(shop=OuterRef("pk"), cause=PlanSearch.Cause.FIRST)
    due = MachineState.objects.filter(machine__yard__shop=OuterRef("pk"), due_point__isnull=False)
    return Shop.objects.filter(~Exists(planned), ~Exists(asked), Exists(due))
