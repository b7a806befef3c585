"""Intervals are set, changed, copied and taken out; each change stands in the change log."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Covering, Interval, Machine, MakeUp, MeterKind, Person, Service

KEPT = (
    "meter_kind", "every", "first_at", "every_months", "every_days", "first_months", "first_days",
    "season_month", "season_day", "idle_months", "early", "late", "early_percent", "late_percent",
    "meter_cap", "early_days", "late_days", "days_cap", "anchor", "end_of_month", "hard", "source",
)  # fmt: skip
"""Fields of an interval that the log tells of."""
ON_METER = ("every", "first_at", "early", "late", "meter_cap")
"""Those of them that are quantities of its meter."""
STORED_UNIT = {MeterKind.HOURS: "h", MeterKind.DISTANCE: "m", MeterKind.CYCLES: "cycles"}


@transaction.atomic
def set_interval(
    row: Interval, *, by: Person, now: datetime, covers: Collection[Service] | None = None
) -> Interval:
    """Save an interval; one of the same service on the same make-up or machine is changed.

    covers: what doing it counts as on the make-up, beside itself; None: as it stands.
    """
    own = {"makeup": row.makeup_id} if row.makeup_id else {"machine": row.machine_id}
    before = (
        Interval.objects.select_for_update(no_key=True)
        .filter(service=row.service_id, **own)
        .first()
    )
    old = (_in_words(before) if before else {}) | _covers_of(row)
    row.pk = before.pk if before else None
    row.save()
    if covers is not None:
        _set_covers(row, covers)
    changed = differences(old, _in_words(row) | _covers_of(row))
    if changed:
        keep_change(row, "changed" if before else "set", changed, by=by, now=now)
        tell(_machines([row]))
    return row


@transaction.atomic
def set_for_class(
    row: Interval, *, by: Person, now: datetime, covers: Collection[Service] | None = None
) -> int:
    """Give an interval to every make-up of the class; return to how many."""
    if row.makeup is None:
        raise ValueError("an interval of one machine has no class to be given to")
    makeups = MakeUp.objects.filter(machine_class=row.makeup.machine_class_id)
    for makeup in makeups:
        set_interval(_copy(row, makeup), by=by, now=now, covers=covers)
    return len(makeups)


@transaction.atomic
def copy_intervals(
    rows: Sequence[Interval], makeup: MakeUp, *, by: Person, now: datetime
) -> list[Interval]:
    """Copy intervals to another make-up, with what each covers; what it has stays as it is."""
    there = set(makeup.intervals.values_list("service_id", flat=True))
    fresh = [_copy(row, makeup) for row in rows if row.service_id not in there]
    covers = _covered_by(rows)
    for row in fresh:
        if row.source:
            row.source = f"{row.source} (copied)"[:160]
        set_interval(row, by=by, now=now, covers=covers.get(row.service_id, []))
    return fresh


@transaction.atomic
def take_out_interval(row: Interval, *, by: Person, now: datetime) -> None:
    """Take an interval out: the service no longer falls due by itself; the book stays."""
    machines = _machines([row])
    keep_change(row, "taken out", differences(_in_words(row), {}), by=by, now=now)
    row.delete()
    tell(machines)


def _in_words(row: Interval) -> dict[str, str]:
    """Return what an interval says; what counts on the meter with the unit that is stored."""
    found = values_of(row, KEPT)
    for name in ON_METER:
        label = str(getattr(Interval._meta.get_field(name), "verbose_name", name))
        if row.meter_kind and found[label]:
            found[label] += f" {STORED_UNIT[MeterKind(row.meter_kind)]}"
    return found


def _covers_of(row: Interval) -> dict[str, str]:
    """Return what the log tells of what a make-up's service covers; nothing for a machine's."""
    rows = Covering.objects.filter(makeup=row.makeup_id, service=row.service_id)
    names = rows.order_by("covered__name").values_list("covered__name", flat=True)
    return {"also counts as": ", ".join(names)} if row.makeup_id else {}


def _set_covers(row: Interval, covers: Collection[Service]) -> None:
    """Let a service of a make-up cover these and no others."""
    if row.makeup_id is None:
        raise ValueError("what counts as done with a service is said for a make-up")
    stood = Covering.objects.filter(makeup=row.makeup_id, service=row.service_id)
    stood.exclude(covered__in=covers).delete()
    there = set(stood.values_list("covered_id", flat=True))
    Covering.objects.bulk_create(
        Covering(makeup_id=row.makeup_id, service_id=row.service_id, covered=one)
        for one in covers
        if one.pk not in there and one.pk != row.service_id
    )


def _covered_by(rows: Sequence[Interval]) -> dict[int, list[Service]]:
    """Return service -> what it covers on the make-up of whose intervals these are."""
    found: dict[int, list[Service]] = {}
    pairs = Covering.objects.filter(
        makeup__in={row.makeup_id for row in rows}, service__in={row.service_id for row in rows}
    )
    for pair in pairs.select_related("covered"):
        found.setdefault(pair.service_id, []).append(pair.covered)
    return found


def _copy(row: Interval, makeup: MakeUp) -> Interval:
    return Interval(
        service_id=row.service_id, makeup=makeup, **{name: getattr(row, name) for name in KEPT}
    )


def _machines(rows: Iterable[Interval]) -> set[int]:
    """Return the machines whose due points hang on intervals."""
    own = {row.machine_id for row in rows if row.machine_id}
    makeups = {row.makeup_id for row in rows if row.makeup_id}
    of_them = Machine.objects.filter(makeup__in=makeups) if makeups else Machine.objects.none()
    return own | set(of_them.values_list("pk", flat=True))
