"""People move, pin and publish work; the plan follows at once."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from fleet.actions.decisions import Place, ReleasedWork, Span, lift_pin, pin, publish
from fleet.models import Machine, Person, Release, Shop
from fleet.refusal import Refusal
from scheduling.models import PlannedWork
from scheduling.planning import PlanReport, plan_shop

SECONDS = 3.0
"""How long a person waits for a new plan at most; the nightly run takes longer and does better."""


@dataclass(frozen=True)
class Move:
    """Work to fix to a day, and to a mechanic if one is named."""

    machine: Machine
    work_key: str
    day: date
    mechanic: Person | None = None


def move_work(shop: Shop, move: Move, *, by: Person, now: datetime) -> PlanReport:
    """Pin work where a person wants it, and plan the rest around it."""
    today = now.astimezone(shop.zone).date()
    if move.day < today:
        raise Refusal("That day has gone by; choose today or a later one.", "day")
    if move.mechanic and move.mechanic.shop_id != shop.pk:
        raise Refusal(f"{move.mechanic} does not work in {shop}.", "mechanic")
    pin(move.machine, move.work_key, Place(move.day, move.mechanic), by=by, now=now)
    return plan_shop(shop, now, seconds=SECONDS)


def free_work(shop: Shop, work_key: str, *, by: Person, now: datetime) -> PlanReport:
    """Lift a pin, and plan again."""
    lift_pin(work_key, by=by, now=now)
    return plan_shop(shop, now, seconds=SECONDS)


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
    return publish(shop, Span(first_day, last_day), jobs, by=by, now=now)
