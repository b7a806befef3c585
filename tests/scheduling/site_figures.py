"""All that follows from the facts of a site, to be held against that of another site.

A fact typed wrong and put right must leave what the same fact typed right at once would give:
`figures_after` builds one yard, has a story told on it, and takes the figures; what it wrote is
gone afterwards, so that the next story is told on the very same yard.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import Sum

from fleet import models
from fleet.queries.costs import cost_of
from fleet.queries.standing_readings import standing
from fleet.queries.standing_records import standing_records
from scheduling.due.refresh import refresh
from scheduling.hindsight.service_compliance import measure_compliance
from scheduling.hindsight.work_done import load_deeds
from scheduling.models import Block, DuePoint
from tests.factories import NOON, TODAY
from tests.scheduling.busy_yard import SMALL, BusyYard, busy_yard

HOUR = timedelta(hours=1)
EVENING = NOON + 6 * HOUR
"""When the figures are taken."""
DUE_FIELDS = [
    field.name
    for field in DuePoint._meta.concrete_fields
    if field.name not in {"id", "machine", "service", "interval"}
]

Story = Callable[[BusyYard], Any]


def figures_after(story: Story, now: datetime = EVENING) -> dict[str, Any]:
    """Return the figures of a busy yard on which a story was told."""
    with transaction.atomic():
        yard = busy_yard(SMALL)
        story(yard)
        found = figures(yard.mechanic.shop, now)
        transaction.set_rollback(True)
    return found


def figures(shop: models.Shop, now: datetime) -> dict[str, Any]:
    """Work everything out anew, and return it under names that are the same on every site."""
    refresh(None, now, shop=shop, refit=True)
    machines = list(models.Machine.objects.filter(yard__shop=shop).order_by("tag"))
    return {
        "due": {
            (point.machine.tag, point.service.code): [getattr(point, f) for f in DUE_FIELDS]
            for point in DuePoint.objects.select_related("machine", "service")
        },
        "states": [(one.tag, one.now.state, one.now.headline) for one in machines],
        "blocks": _sorted(
            Block.objects.values_list(
                "machine__tag", "kind", "first_day", "last_day", "hard", "reach", "past_by",
                "due_day", "minutes", "booking__first_day", "hold__reason",
            )
        ),
        "stock": dict(
            models.StockMovement.objects.order_by()
            .values_list("part__number")
            .annotate(total=Sum("quantity"))
        ),
        "costs": [cost_of(one, now - timedelta(days=365)).money for one in machines],
        "hours": [cost_of(one, now - timedelta(days=365)).hours for one in machines],
        "compliance": measure_compliance(shop, now),
        "deeds": len(list(load_deeds(shop, TODAY, TODAY))),
        "book": _sorted(
            standing_records().values_list(
                "machine__tag", "service__code", "done_at", "done_by__role", "minutes", "note",
                "cost", "meters__value", "measurements__value",
            )
        ),
        "readings": _sorted(standing().values_list("meter__machine__tag", "read_at", "value")),
        "findings": _sorted(
            models.Finding.objects.filter(struck=False).values_list(
                "machine__tag", "text", "gravity", "minutes", "skill__name", "settled_at"
            )
        ),
        "bookings": _sorted(
            models.Booking.objects.values_list(
                "machine__tag", "first_day", "last_day", "customer", "value", "cancelled_at"
            )
        ),
        "handed": _sorted(
            models.HandOver.objects.values_list(
                "booking__customer", "booking__first_day", "direction", "at", "note"
            )
        ),
        "overrides": models.Override.objects.filter(struck=False).count(),
        "pins": _sorted(models.Pin.objects.filter(lifted_at=None).values_list("day")),
        "put off": _sorted(models.PutOff.objects.values_list("machine__tag", "day", "reason")),
        "held": _sorted(
            models.Hold.objects.filter(released_at=None).values_list("machine__tag", "reason")
        ),
    }  # fmt: skip


def _sorted(rows: Any) -> list[Any]:
    return sorted(rows, key=repr)
