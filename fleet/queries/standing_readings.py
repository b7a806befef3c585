"""Readings that stand, and the histories that validation judges by."""

from collections import Counter, defaultdict
from collections.abc import Collection
from datetime import datetime, timedelta

from django.db.models import F, OrderBy, QuerySet, Window
from django.db.models.functions import RowNumber

from fleet.models import Machine, Meter, Reading
from fleet.validation import MeterHistory, Seen
from fleet.validation.meter_history import STEPS_BACK

FEW = 20
"""Meters up to which all that they ever showed is ranked at once."""
RECENT = timedelta(days=90)
"""Span in which most meters have been read often enough to be judged by."""


def standing() -> QuerySet[Reading]:
    """Return the readings that no later reading corrects or strikes out.

    Corrections are few and read once as a list: joining the table to itself takes PostgreSQL
    minutes as long as it has not yet counted the rows of a fresh import.
    """
    return Reading.objects.filter(void=False).exclude(pk__in=_corrected())


def _corrected() -> QuerySet[Reading, int | None]:
    """Return the keys of readings that a later reading corrects or strikes out."""
    rows = Reading.objects.filter(corrects__isnull=False).order_by()
    return rows.values_list("corrects", flat=True)


def last_readings(machine_ids: Collection[int]) -> dict[int, Reading]:
    """Return the last standing reading of each meter that is fitted to these machines now."""
    latest = (
        standing()
        .filter(meter__machine_id__in=machine_ids, meter__removed_at=None)
        .annotate(rank=_rank(F("read_at").desc()))
        .filter(rank=1)
    )
    return {reading.meter_id: reading for reading in latest}


def readings_of(machine: Machine) -> QuerySet[Reading]:
    """Return all readings of a machine, newest first, corrected ones too."""
    return (
        Reading.objects.filter(meter__machine=machine)
        .select_related("meter", "read_by", "corrected_by")
        .order_by("-read_at", "-pk")
    )


def histories(
    meters: Collection[Meter], first: datetime, last: datetime
) -> dict[int, MeterHistory]:
    """Return what validation has to know to judge readings of these meters within two times.

    At most five queries whatever the number of meters: all readings within, which of them are
    corrected, some before, one after; those before are sought among recent ones first, since a
    meter may have thousands.
    """
    ids = [meter.pk for meter in meters]
    stand: dict[int, list[Seen]] = defaultdict(list)
    corrected: dict[int, set[tuple[datetime, float]]] = defaultdict(set)
    within = Reading.objects.filter(meter_id__in=ids, read_at__range=(first, last))
    put_right = set(_corrected().filter(corrects__meter_id__in=ids))
    for pk, meter_id, at, value, void in within.order_by().values_list(
        "pk", "meter_id", "read_at", "value", "void"
    ):
        if void or pk in put_right:
            corrected[meter_id].add((at, value))
        else:
            stand[meter_id].append(Seen(at, value))
    around = standing().filter(meter_id__in=ids)
    shown = _before(around.filter(read_at__lt=first), ids, first)
    shown += _nearest(around.filter(read_at__gt=last), F("read_at").asc(), 1)
    for meter_id, at, value in shown:
        stand[meter_id].append(Seen(at, value))
    return {
        meter.pk: MeterHistory(_ends(meter) + stand[meter.pk], corrected[meter.pk])
        for meter in meters
    }


def corrected_within(
    meter_ids: list[int], first: datetime, last: datetime
) -> dict[int, set[tuple[datetime, float]]]:
    """Return by meter moment and value of the readings within two times that stand no more.

    Two queries.  Corrections are few: all of a site are read, rather than every reading within the
    two times looked at, which of a large file takes longer with each batch.
    """
    numbers: set[int] = set()
    # those above 0 are found by their index, those that are not null by reading the whole table
    corrections = Reading.objects.filter(corrects__gt=0).order_by()
    for pk, corrects, void in corrections.values_list("pk", "corrects", "void"):
        numbers.update(number for number in (corrects, pk if void else None) if number)
    corrected: dict[int, set[tuple[datetime, float]]] = defaultdict(set)
    if not numbers:
        return corrected
    wanted = set(meter_ids)
    rows = Reading.objects.filter(pk__in=numbers, read_at__range=(first, last)).order_by()
    for meter_id, at, value in rows.values_list("meter_id", "read_at", "value"):
        if meter_id in wanted:
            corrected[meter_id].add((at, value))
    return corrected


Shown = tuple[int, datetime, float]
"""Meter, moment and value of a reading."""


def _before(rows: QuerySet[Reading], ids: list[int], first: datetime) -> list[Shown]:
    """Return the readings of each meter that come last before a time.

    Of many meters the recent ones are asked for first: ranking all that they ever showed takes
    longer with every batch of a large file.
    """
    latest = F("read_at").desc()
    if len(ids) <= FEW:
        return _nearest(rows, latest, STEPS_BACK)
    shown = _nearest(rows.filter(read_at__gte=first - RECENT), latest, STEPS_BACK)
    counted = Counter(meter_id for meter_id, _, _ in shown)
    sparse = {pk for pk in ids if counted[pk] < STEPS_BACK}
    if not sparse:
        return shown
    kept = [row for row in shown if row[0] not in sparse]
    return kept + _nearest(rows.filter(meter_id__in=sparse), latest, STEPS_BACK)


def _nearest(rows: QuerySet[Reading], order: OrderBy, most: int) -> list[Shown]:
    """Return the first so many readings of each meter in an order."""
    ranked = rows.annotate(rank=_rank(order)).filter(rank__lte=most).order_by()
    return list(ranked.values_list("meter_id", "read_at", "value"))


def _ends(meter: Meter) -> list[Seen]:
    """Return what the meter showed when it was fitted and when it was taken off."""
    ends = [Seen(meter.fitted_at, meter.first_value, "fitted")]
    if meter.removed_at and meter.last_value is not None:
        ends.append(Seen(meter.removed_at, meter.last_value, "taken off"))
    return ends


def _rank(order: OrderBy) -> Window:
    return Window(RowNumber(), partition_by=[F("meter_id")], order_by=[order])
