"""Past nights gone through again: what would have been said, and what came true.

The facts of a past night are those known by then: readings taken, services done, bookings made,
by the same loader as every night's.  (What was corrected since counts as corrected, and the set-up
is today's.)  The law of use is learnt anew every `LAW_DAYS`; between, rates and bookings alone.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np
from django.db import transaction

from fleet.models import Shop
from scheduling.core.intervals import due_points
from scheduling.core.usage import UseLaw
from scheduling.core.verification import NOMINAL, fortnight_of
from scheduling.due.learning import learn
from scheduling.due.line_forecasts import offset_days
from scheduling.due.line_rules import line_rules
from scheduling.due.lines import lives_at_records, make_lines, services_done
from scheduling.due.meter_use import KindUse, kind_use
from scheduling.due.range_levels import Levels
from scheduling.facts.load_facts import Facts, load_facts, load_use
from scheduling.facts.scope import Scope
from scheduling.facts.yard_days import day_number
from scheduling.hindsight.forecast_making import Asked, make_forecasts
from scheduling.hindsight.forecast_outcomes import FIELDS, outcomes_of
from scheduling.hindsight.forecast_settling import settle_forecasts
from scheduling.hindsight.judged_forecasts import JUDGED, year_judged
from scheduling.hindsight.level_adjusting import adjusted, write_levels
from scheduling.models import KeptForecast

EVERY = 28
"""Days from one backtested night to the next: every other fortnight tells as much of a year."""

LAW_DAYS = 112
"""Days for which a law of use once learnt serves."""

BATCH = 2000
"""Rows written at one go."""

Tell = Callable[[int, int], None]
"""Called with nights gone through and nights in all."""


@dataclass
class _Past:
    """What one backtest carries from night to night."""

    shop: Shop
    seen: set[tuple[int, int, int]]
    rows: list[KeptForecast] = field(default_factory=list)
    laws: dict[str, tuple[date, UseLaw]] = field(default_factory=dict)
    levels: dict[str, Levels] = field(default_factory=dict)
    moved: list[tuple[str, date, tuple[Levels, int]]] = field(default_factory=list)


def nights_of(first: date, today: date, every: int = EVERY) -> list[date]:
    """Return the days backtested: from first on, today left to its own night."""
    return [first + timedelta(days=n) for n in range(0, max((today - first).days, 0), every)]


def whole_year(today: date) -> date:
    """Return the day to begin on so that a whole year of forecasts counts today."""
    return year_judged(today)[0]


def backtest(
    shop: Shop, now: datetime, first: date, every: int = EVERY, tell: Tell | None = None
) -> int:
    """Keep the forecasts of past nights where none are kept, settled; returns how many.

    Forecasts that real nights kept stay as they are, so a second run adds nothing.
    """
    today = now.astimezone(shop.zone).date()
    nights = nights_of(first, today, every)
    past = _Past(shop, _kept_fortnights(shop))
    final = load_use(Scope.of(shop.pk), now)
    ends = {kind: kind_use(final, meters, learn(final, meters, UseLaw()))
            for kind, meters in final.meters.items()}  # fmt: skip
    for done, day in enumerate(nights, start=1):
        fresh = list(_said(past, day))
        for kind, use in ends.items():
            settle_forecasts(final, use, [row for row in fresh if row.kind == kind])
        past.rows += fresh
        if tell:
            tell(done, len(nights))
    _write(past)
    return len(past.rows)


def _kept_fortnights(shop: Shop) -> set[tuple[int, int, int]]:
    rows = KeptForecast.objects.filter(machine__yard__shop=shop).order_by()
    return {
        (machine, service, fortnight_of(day_number(day), machine))
        for machine, service, day in rows.values_list("machine_id", "service_id", "made_on")
    }


def _said(past: _Past, day: date) -> Iterator[KeptForecast]:
    """Yield what would have been said in the night of a day."""
    shop = past.shop
    moment = datetime.combine(day, shop.nightly_at, tzinfo=shop.zone)
    facts = load_facts(Scope.of(shop.pk), moment)
    _adjust(past, day)
    uses = {
        kind: kind_use(
            facts.use, meters, learn(facts.use, meters, _law(past, kind, day)),
            past.levels.get(kind, NOMINAL),
        )
        for kind, meters in facts.use.meters.items()
    }  # fmt: skip
    for kind, use in uses.items():
        past.laws.setdefault(kind, (day, use.lesson.model.rates.law))
    for kind, asked in _due(facts, uses).items():
        for row in make_forecasts(facts.use, uses[kind], asked):
            fortnight = (row.machine_id, row.service_id,
                    fortnight_of(day_number(row.made_on), row.machine_id))  # fmt: skip
            if fortnight not in past.seen:
                past.seen.add(fortnight)
                yield row


def _law(past: _Past, kind: str, day: date) -> UseLaw | None:
    """Return the law to go by; None where it is to be learnt now."""
    learnt, law = past.laws.get(kind, (None, None))
    if learnt and (day - learnt).days < LAW_DAYS:
        return law
    past.laws.pop(kind, None)
    return None


def _due(facts: Facts, uses: dict[str, KindUse]) -> dict[str, Asked]:
    """Return the due points of a night by kind of meter."""
    lines = make_lines(facts, uses)
    rules = line_rules(facts, lines, uses)
    lives = {kind: lives_at_records(facts, use) for kind, use in uses.items()}
    done, _ = services_done(facts, lines, lives)
    points = due_points(rules.meter, rules.calendar, done)
    calendar = offset_days(points.due_day, facts.machines.today[lines.machine])
    known = ~np.isnan(points.due_life)
    found = {}
    for kind in uses:
        at = np.flatnonzero((lines.kind == kind) & known)
        found[kind] = Asked(lines.machine[at], lines.service[at], points.due_life[at], calendar[at])
    return found


def _adjust(past: _Past, day: date) -> None:
    """Adjust the chances asked for from what was known by the day before."""
    first, last = year_judged(day - timedelta(days=1))
    known = [
        tuple(getattr(row, name) for name in FIELDS)
        for row in past.rows
        if row.outcome in JUDGED and row.settled_on is not None and row.settled_on < day
        and first <= row.made_on <= last
    ]  # fmt: skip
    for kind, found in adjusted(outcomes_of(known)).items():
        if found[0] != past.levels.get(kind, NOMINAL):
            past.levels[kind] = found[0]
            past.moved.append((kind, day, found))


def _write(past: _Past) -> None:
    with transaction.atomic():
        KeptForecast.objects.bulk_create(past.rows, batch_size=BATCH, ignore_conflicts=True)
        for kind, day, found in past.moved:
            write_levels(past.shop, kind, day, found)
