"""What a shop's fleet teaches about use on one kind of meter: learnt at night, kept, looked up."""

import logging
from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

import numpy as np
from django.db.models import Exists, OuterRef

from fleet.models import Meter, MeterKind, Shop
from scheduling.core.forecast import FleetModel, fit_fleet, learn_months
from scheduling.core.usage import (
    Cleaned,
    UseLaw,
    clean,
    use_ceiling,
)
from scheduling.due.use_circumstances import MOST_A_DAY, circumstances
from scheduling.facts.load_facts import UseFacts
from scheduling.facts.meter_arrays import MeterFacts
from scheduling.facts.yard_days import Floats, Ints
from scheduling.models import UseModel

logger = logging.getLogger(__name__)

LEAST_CEILING = {MeterKind.HOURS: 12.0, MeterKind.DISTANCE: 300_000.0, MeterKind.CYCLES: 0.0}
"""Use a day (h, m, cycles) that is believed of any machine, so that a fleet that has only idled so
far does not take its first busy week for typing errors (our judgement)."""


@dataclass(frozen=True)
class Lesson:
    """A fleet's model and the machine classes whose groups it numbers 0, 1, 2 ...

    months: weight of each calendar month by class, shape (classes, 12); None for flat.
    """

    model: FleetModel
    classes: tuple[int, ...]
    months: Floats | None = None

    def group(self, machine_class: Ints) -> Ints:
        """Return the group of each machine; a class not met yet stands beyond the last."""
        known = np.array(self.classes, dtype=np.int64)
        at = np.searchsorted(known, machine_class)
        inside = np.minimum(at, max(known.size - 1, 0))
        met = known[inside] == machine_class if known.size else np.zeros(at.size, dtype=np.bool_)
        return np.where(met, inside, known.size)

    def months_of(self, group: Ints) -> Floats | None:
        """Return the months' weights of each machine, (k, 12); a class not met yet is flat."""
        if self.months is None:
            return None
        return np.vstack([self.months, np.ones((1, 12))])[np.minimum(group, len(self.months))]

    def as_payload(self) -> dict[str, Any]:
        """Return the lesson as plain JSON."""
        months = None if self.months is None else self.months.round(4).tolist()
        return {"classes": list(self.classes), "model": self.model.to_dict(), "months": months}

    @classmethod
    def from_payload(cls, kept: dict[str, Any]) -> "Lesson":
        """Return the lesson that `as_payload` wrote down."""
        months = None if kept["months"] is None else np.array(kept["months"], dtype=np.float64)
        return cls(FleetModel.from_dict(kept["model"]), tuple(kept["classes"]), months)


def cleaned_lives(meters: MeterFacts, ceiling: float | None = None) -> tuple[Cleaned, float]:
    """Return the life lines, and the fastest use believed of the fleet, units a day.

    A reading that a person confirmed raises what is believed of its own machine.
    """
    limit = _ceiling(meters) if ceiling is None else ceiling
    own = np.full(meters.machine.size, limit)
    if meters.sure.any():
        own = np.maximum(own, _confirmed(meters))
    return clean(meters.readings, meters.swaps, meters.machine.size, own), limit


def _ceiling(meters: MeterFacts) -> float:
    seen = meters.readings
    order = np.lexsort((seen.day, seen.machine))
    kind = MeterKind(meters.kind)
    learnt = use_ceiling(seen.machine[order], seen.day[order], seen.value[order], MOST_A_DAY[kind])
    return max(learnt, LEAST_CEILING[kind])


def _confirmed(meters: MeterFacts) -> Floats:
    """Return the least ceiling under which each machine's confirmed readings can be, (k,)."""
    seen = meters.readings
    order = np.lexsort((seen.day, seen.machine))
    machine, day, value = seen.machine[order], seen.day[order], seen.value[order]
    follows = np.flatnonzero(meters.sure[order][1:] & (machine[1:] == machine[:-1])) + 1
    needed = (value[follows] - value[follows - 1]) / (day[follows] - day[follows - 1] + 0.5)
    least = np.zeros(meters.machine.size)
    np.maximum.at(least, machine[follows], needed * (1 + 1e-9))
    return least


def learn(facts: UseFacts, meters: MeterFacts, law: UseLaw | None = None) -> Lesson:
    """Learn from all machines with one kind of meter; law: how use varies, where it is known."""
    classes = np.unique(facts.machines.machine_class[meters.machine])
    group = np.searchsorted(classes, facts.machines.machine_class[meters.machine])
    cleaned, ceiling = cleaned_lives(meters)
    about = circumstances(facts, meters, group)
    # the core counts from 1970-01-01 to know the month
    today = float(facts.machines.today.max()) if len(facts.machines) else 0.0
    months = learn_months(cleaned, about, today)
    if months is not None:
        about = circumstances(facts, meters, group, months[group])
    model = fit_fleet(cleaned, about, law)
    return Lesson(replace(model, ceiling=ceiling), tuple(classes.tolist()), months)


def kept_lessons(shop_id: int, kinds: Collection[str]) -> dict[str, Lesson]:
    """Return what is kept of a shop's fleet, by kind of meter.

    What an earlier version kept in another form is left out, and so is learnt again.
    """
    rows = UseModel.objects.filter(shop=shop_id, kind__in=kinds).values_list("kind", "payload")
    kept = {}
    for kind, payload in rows:
        try:
            kept[kind] = Lesson.from_payload(payload)
        except (KeyError, TypeError, ValueError):
            logger.warning(
                "What was kept of use in %s is of another form; learning it again.", kind
            )
    return kept


def not_learnt(machine_id: int) -> bool:
    """Tell whether a machine has a meter of whose kind nothing is kept of its shop's fleet."""
    kept = UseModel.objects.filter(shop=OuterRef("machine__yard__shop"), kind=OuterRef("kind"))
    return Meter.objects.filter(~Exists(kept), machine=machine_id).exists()


def keep(shop: Shop, lessons: dict[str, Lesson], now: datetime) -> int:
    """Write what was learnt where it differs from what is kept; returns the rows written."""
    kept = {row.kind: row for row in UseModel.objects.filter(shop=shop)}
    written = 0
    today = now.astimezone(shop.zone).date()
    for kind, lesson in lessons.items():
        payload = lesson.as_payload()
        row = kept.get(kind)
        if row is None or row.payload != payload or row.fitted_for != today:
            UseModel.objects.update_or_create(
                shop=shop, kind=kind, defaults={"payload": payload, "fitted_for": today}
            )
            written += 1
    return written
