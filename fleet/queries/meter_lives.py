"""Which meter showed a reading, and a machine's life across swaps and rollovers."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime

from fleet.models import Machine, Meter, MeterKind


def life_bases(meters: Iterable[Meter]) -> dict[int, float]:
    """Return for each meter the offset with which life = value + offset.

    The meters of one machine and kind must be given from the first on; a meter that was taken off
    without a last value is taken to have rested at its first.
    """
    bases: dict[int, float] = {}
    reached: dict[tuple[int, str], float] = {}
    for meter in sorted(meters, key=lambda one: one.fitted_at):
        place = (meter.machine_id, meter.kind)
        if place in reached:
            base = reached[place]
        else:
            known = meter.life_at_fitting
            base = meter.first_value if known is None else known
        bases[meter.pk] = base - meter.first_value
        last = meter.first_value if meter.last_value is None else meter.last_value
        reached[place] = base + last - meter.first_value
    return bases


def life_now(machine: Machine, kind: str, value: float) -> float | None:
    """Return the machine's life when its present meter of a kind shows a value."""
    meters = list(Meter.objects.filter(machine=machine, kind=kind))
    present = next((meter for meter in meters if meter.removed_at is None), None)
    return None if present is None else value + life_bases(meters)[present.pk]


@dataclass
class Fittings:
    """The meters of some machines, found by machine, kind and time; one query."""

    by_place: dict[tuple[int, str], list[Meter]] = field(default_factory=dict)

    @classmethod
    def of(cls, machine_ids: Collection[int]) -> "Fittings":
        """Load the meters of these machines."""
        by_place: dict[tuple[int, str], list[Meter]] = defaultdict(list)
        meters = Meter.objects.filter(machine_id__in=machine_ids).order_by("fitted_at", "pk")
        for meter in meters:
            by_place[meter.machine_id, meter.kind].append(meter)
        return cls(dict(by_place))

    def kinds(self, machine_id: int) -> list[MeterKind]:
        """Return the kinds of meter that the machine has or had."""
        return [kind for kind in MeterKind if (machine_id, kind) in self.by_place]

    def at(self, machine_id: int, kind: str, moment: datetime) -> Meter | None:
        """Return the meter that was fitted at a moment; at the moment of a swap, the new one."""
        fitted = None
        for meter in self.by_place.get((machine_id, kind), ()):
            if meter.fitted_at <= moment:
                fitted = meter
        if fitted and fitted.removed_at and fitted.removed_at < moment:
            return None
        return fitted

    def first(self, machine_id: int, kind: str) -> Meter | None:
        """Return the first meter of a kind."""
        return next(iter(self.by_place.get((machine_id, kind), ())), None)
