"""The part of a night that keeps what was said, and settles what was said before.

1. Settle: open forecasts whose due point a reading has passed, or whose days are over.
2. Keep: forecasts of services of which none was kept in this fortnight of the machine's own
   (`scheduling.core.verification.fortnight_of`).
3. Adjust the chances asked for at the ends of ranges, from tomorrow on, and count what held.
All from the due points that the refresh before has written, and from the facts that it loaded.  Run
twice, the second run finds nothing to settle, nothing to keep, nothing to adjust.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from django.db import transaction
from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet

from fleet.models import Shop
from scheduling.core.verification import NOMINAL, PATIENCE, fortnight_of
from scheduling.due.learning import kept_lessons
from scheduling.due.line_forecasts import offset_days
from scheduling.due.meter_use import KindUse, kind_use
from scheduling.due.range_levels import levels_in_use
from scheduling.due.refresh import Load
from scheduling.facts.load_facts import UseFacts, load_use
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import as_days, day_number
from scheduling.hindsight.forecast_making import Asked, make_forecasts
from scheduling.hindsight.forecast_outcomes import load_outcomes
from scheduling.hindsight.forecast_settling import SETTLED_FIELDS, settle_forecasts
from scheduling.hindsight.judged_forecasts import RIPE
from scheduling.hindsight.level_adjusting import adjust
from scheduling.hindsight.range_coverage import count_came_true
from scheduling.models import DuePoint, KeptForecast

BATCH = 2000
"""Rows written at one go."""


@dataclass(frozen=True)
class Checked:
    """What a night kept and settled, how many chances it moved, and how often ranges held."""

    settled: int
    kept: int
    adjusted: int
    held: dict[str, Any]


def keep_and_settle(shop: Shop, now: datetime, load: Load | None = None) -> Checked:
    """Keep and settle forecasts of a shop's machines, in a number of queries that is constant.

    load: hands on the facts of the whole shop; without it only those of the machines concerned are
    loaded.
    """
    today = now.astimezone(shop.zone).date()
    waiting = list(_to_settle(shop, today))
    points = list(_not_kept_yet(shop))
    machines = {row.machine_id for row in waiting} | {point.machine_id for point in points}
    settled: list[KeptForecast] = []
    fresh: list[KeptForecast] = []
    if machines:
        facts = (
            load(Scope.of(shop.pk), now).use if load else load_use(Scope.of(shop.pk, machines), now)
        )
        for kind, use in _uses(shop, facts, today).items():
            settled += settle_forecasts(facts, use, [r for r in waiting if r.kind == kind])
            fresh += _made(facts, use, [p for p in points if p.meter_kind == kind])
    settled += _given_up(waiting, {id(row) for row in settled}, today)
    with transaction.atomic():
        KeptForecast.objects.bulk_update(settled, SETTLED_FIELDS, batch_size=BATCH)
        KeptForecast.objects.bulk_create(fresh, batch_size=BATCH, ignore_conflicts=True)
        outcomes = load_outcomes(shop, today)
        moved = adjust(shop, outcomes, today)
    return Checked(len(settled), len(fresh), moved, count_came_true(shop, outcomes, today))


def _to_settle(shop: Shop, today: date) -> QuerySet[KeptForecast]:
    """Return open forecasts that the last readings may settle, or that nobody will."""
    shown = DuePoint.objects.filter(machine=OuterRef("machine"), meter_kind=OuterRef("kind"))
    passed = shown.filter(life_now__gte=OuterRef("due_life"))
    over = Q(made_on__lte=today - timedelta(days=RIPE))
    rows = KeptForecast.objects.filter(machine__yard__shop=shop, outcome="")
    return rows.filter(Exists(passed) | over).order_by("pk")


def _not_kept_yet(shop: Shop) -> list[DuePoint]:
    """Return due points ahead on a meter of which nothing was kept in this fortnight."""
    points = (
        DuePoint.objects.filter(_told(), machine__yard__shop=shop, remaining__gt=0)
        .annotate(day=F("machine__now__computed_for"))
        .only("machine_id", "service_id", "meter_kind", "due_life", "due_day")
        .order_by("machine_id", "service_id")
    )
    last = _last_made(shop)
    return [point for point in points if _is_next_fortnight(point, last)]


def _told() -> Q:
    """Return the due points whose range a meter that was read begins."""
    by_meter = Q(due_day=None) | Q(p10__lt=F("due_day"))
    return by_meter & Q(life_now__isnull=False, p10__isnull=False)


def _last_made(shop: Shop) -> dict[tuple[int, int], date]:
    """Return the day of the last forecast kept of each machine and service."""
    rows = KeptForecast.objects.filter(machine__yard__shop=shop).order_by()
    newest = rows.values_list("machine_id", "service_id").annotate(day=Max("made_on"))
    return {(machine, service): day for machine, service, day in newest}


def _is_next_fortnight(point: DuePoint, last: dict[tuple[int, int], date]) -> bool:
    day = getattr(point, "day", None)
    if day is None:
        return False
    before = last.get((point.machine_id, point.service_id))
    fortnight = fortnight_of(day_number(day), point.machine_id)
    return before is None or fortnight_of(day_number(before), point.machine_id) < fortnight


def _uses(shop: Shop, facts: UseFacts, today: date) -> dict[str, KindUse]:
    lessons = kept_lessons(shop.pk, facts.meters)
    levels = levels_in_use(shop.pk, today)
    return {
        kind: kind_use(facts, facts.meters[kind], lesson, levels.get(kind, NOMINAL))
        for kind, lesson in lessons.items()
    }


def _made(facts: UseFacts, use: KindUse, points: Sequence[DuePoint]) -> list[KeptForecast]:
    at, known = facts.machines.rows(tuple(point.machine_id for point in points))
    kept = np.flatnonzero(known).tolist()
    asked = Asked(
        at[kept],
        np.array([points[i].service_id for i in kept], dtype=np.int64),
        np.array([points[i].due_life for i in kept], dtype=np.float64),
        offset_days(as_days(points[i].due_day for i in kept), facts.machines.today[at[kept]]),
    )
    return list(make_forecasts(facts, use, asked))


def _given_up(waiting: Sequence[KeptForecast], done: set[int], today: date) -> list[KeptForecast]:
    """Give up forecasts that no meter can settle any more: retired machines, meters taken off."""
    rows = [
        row for row in waiting
        if id(row) not in done and row.made_on < today - timedelta(days=PATIENCE)
    ]  # fmt: skip
    for row in rows:
        row.outcome = KeptForecast.Outcome.UNREAD
        row.settled_on = row.made_on + timedelta(days=PATIENCE)
    return rows
