"""A machine gets the meters of its make-up, with what they showed and show."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time

from django.db import transaction

from fleet.models import Machine, MakeUpMeter, Meter, MeterKind, Person, Reading, Source

NOON = time(12)


@dataclass(frozen=True)
class FirstMeter:
    """What a meter showed on the machine's first day, and shows now; None where not said."""

    kind: MeterKind
    at_start: float | None = None
    now: float | None = None


@transaction.atomic
def fit_first_meters(
    machine: Machine, said: Sequence[FirstMeter], *, by: Person | None, now: datetime
) -> list[Meter]:
    """Fit every meter of the make-up that the machine never had; return those.

    A meter counts as fitted on the machine's first day of work, at noon of its yard, so that it is
    that day in every zone near it; where the first day is not known, now, at what it shows.
    """
    told = {one.kind: one for one in said}
    had = set(machine.meters.values_list("kind", flat=True))
    made = []
    for row in MakeUpMeter.objects.filter(makeup=machine.makeup_id).exclude(kind__in=had):
        one = told.get(MeterKind(row.kind), FirstMeter(MeterKind(row.kind)))
        fitted, first = _fitting(machine, one, now)
        meter = Meter.objects.create(
            machine=machine, kind=row.kind, fitted_at=fitted, first_value=first,
            rolls_over_at=row.rolls_over_at, noted_by=by,
        )  # fmt: skip
        if one.now is not None:
            Reading.objects.create(
                meter=meter, read_at=now, value=one.now, source=Source.SET_UP, read_by=by,
                entered_at=now,
            )  # fmt: skip
        made.append(meter)
    return made


def _fitting(machine: Machine, one: FirstMeter, now: datetime) -> tuple[datetime, float]:
    """Return when a meter counts as fitted, and what it showed then."""
    if machine.started_on is None:
        known = one.now if one.now is not None else one.at_start
        return now, known or 0.0
    noon = datetime.combine(machine.started_on, NOON, machine.yard.zone).astimezone(UTC)
    return min(noon, now), one.at_start or 0.0
