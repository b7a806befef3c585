"""The meters that a person reads at a hand-over, with what each showed last."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from fleet.models import Machine, Meter, MeterKind, Reading, Yard
from fleet.quantities import parse_use, show_use, unit_of
from fleet.queries.standing_readings import last_readings


@dataclass(frozen=True)
class Dial:
    """One meter to read: where it is fitted, and what it showed last."""

    meter: Meter
    yard: Yard
    last: Reading | None = None

    @property
    def kind(self) -> MeterKind:
        """What it counts."""
        return MeterKind(self.meter.kind)

    @property
    def unit(self) -> str:
        """The unit in which the yard reads it."""
        return unit_of(self.kind, self.yard.units)

    def show(self, value: float) -> str:
        """Show a value as the yard reads it."""
        return show_use(value, self.kind, self.yard.units)

    def parse(self, text: str) -> float:
        """Read a value as typed, into stored units; ValueError with a sentence."""
        return parse_use(text, self.kind, self.yard.units)


def dials_of(machine: Machine) -> list[Dial]:
    """Return the meters that are fitted to a machine now; two queries."""
    last = last_readings([machine.pk])
    meters = Meter.objects.filter(machine=machine, removed_at=None).order_by("kind")
    return [Dial(meter, machine.yard, last.get(meter.pk)) for meter in meters]


def kinds_at(machine: Machine, at: datetime) -> list[MeterKind]:
    """Return the kinds of meters that were fitted to a machine at a moment; one query."""
    rows = Meter.objects.filter(machine=machine, fitted_at__lte=at)
    rows = rows.filter(Q(removed_at=None) | Q(removed_at__gt=at)).order_by("kind")
    return [MeterKind(kind) for kind in dict.fromkeys(rows.values_list("kind", flat=True))]
