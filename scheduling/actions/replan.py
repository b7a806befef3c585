"""People move, pin and publish work; the worker then plans the shop again."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.db import transaction

from fleet.actions.decide_work import PinPlace, ReleasedWork, Span, lift_pin, pin, publish
from fleet.models import Machine, Person, Pin, Release, Shop
from fleet.queries.who_works import shop_on
from fleet.refusal import Refusal
from fleet.saying import counted, say_money
from scheduling.calendar.revisions import revise
from scheduling.models import PlannedWork, PlanSearch
from scheduling.plan import PlanReport, plan_shop, searches

SECONDS = 5.0
"""How long the worker searches at most for a plan that a person waits for."""

SECONDS_ON = 20.0
"""The same where it goes on with a search that time cut off: nothing but the price may change."""


@dataclass(frozen=True)
class PinRequest:
    """Work of one machine to fix to a day, and to a mechanic if one is named."""

    machine: Machine
    work_keys: tuple[str, ...]
    day: date
    mechanic: Person | None = None


@transaction.atomic
def move_work(shop: Shop, move: PinRequest, *, by: Person, now: datetime) -> PlanSearch:
    """Pin work where a person wants it, and have the rest planned around it."""
    today = now.astimezone(shop.zone).date()
    if move.day < today:
        raise Refusal("That day has gone by; choose today or a later one.", "day")
    if move.mechanic and shop_on(move.mechanic, move.day) != shop:
        raise Refusal(f"{move.mechanic} does not work in {shop} on that day.", "mechanic")
    for key in move.work_keys:
        pin(move.machine, key, PinPlace(move.day, move.mechanic), by=by, now=now)
    return searches.ask(shop, by=by, now=now)


@transaction.atomic
def free_work(shop: Shop, *work_keys: str, by: Person, now: datetime) -> PlanSearch:
    """Lift the pins of work, and have the shop planned again."""
    pins = Pin.objects.filter(machine__yard__shop=shop, work_key__in=work_keys, lifted_at=None)
    for key in pins.values_list("work_key", flat=True):
        lift_pin(key, by=by, now=now)
    return searches.ask(shop, by=by, now=now)


def plan_again(shop: Shop, *, by: Person, now: datetime) -> PlanSearch:
    """Have the shop planned again from the facts as they are now."""
    return searches.ask(shop, by=by, now=now)


def do_replan(search: PlanSearch, now: datetime) -> None:
    """Plan a shop again because a person asked; done before, it is not done again."""
    if search.ended_at:
        return
    with searches.begun(search, now) as running:
        report = plan_shop(search.shop, now, SECONDS, running.tell, go_on=SECONDS_ON)
        running.said = said_of(report, search.cause)


TOLD = 2
"""What cannot be kept that is told at once; Shop days tell all of it."""


def said_of(report: PlanReport, cause: str = PlanSearch.Cause.HAND) -> str:
    """Say what came of planning again, or for the first time."""
    if report.saved is not None:
        first = _said_on(report.saved)
    elif report.kept:
        first = "Nothing has changed since; the plan stands as it was."
    elif cause == PlanSearch.Cause.FIRST:
        first = "The first plan is made."
    else:
        first = "Planned again."
    told, more = report.cannot_keep[:TOLD], len(report.cannot_keep) - TOLD
    rest = [f"And {counted(more, 'more thing')} cannot be kept."] if more > 0 else []
    return " ".join([first, *told, *rest])


def _said_on(saved: float) -> str:
    """Say what came of searching on where time had cut a search off."""
    if saved < 0.005:
        return "Searched on from the plan as it stood: no better one was found this time."
    less = say_money(saved, settings.CURRENCY)
    return f"Searched on from the plan as it stood: it costs {less} less now."


def publish_days(shop: Shop, first_day: date, days: int, *, by: Person, now: datetime) -> Release:
    """Publish the plan of some days as it stands: mechanics can rely on it."""
    last_day = first_day + timedelta(days=days - 1)
    rows = PlannedWork.objects.filter(plan__shop=shop, job__day__range=(first_day, last_day))
    rows = rows.order_by("job__day", "job__mechanic", "job__position", "pk")
    jobs = [
        ReleasedWork(work_key=key, day=day.isoformat(), mechanic=mechanic)
        for key, day, mechanic in rows.values_list(
            "work_key", "job__day", "job__mechanic__username"
        )
    ]
    release = publish(shop, Span(first_day, last_day), jobs, by=by, now=now)
    revise(shop, now)
    return release
