"""The meters of one machine that was entered twice become one again, or it is said why not.

Two entries of a machine tell of the same meter on its frame.  Their readings go onto the meter of
the entry that stays, in order of time.  Where a reading of one entry cannot lie between those of
the other, the two are not one machine, or something is mistyped: a person decides which.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from django.db.models import Q

from fleet.models import Machine, Meter, MeterKind, Reading, RecordedMeter
from fleet.quantities import show_use
from fleet.queries.standing_readings import standing
from fleet.refusal import Refusal
from fleet.saying import say_moment
from fleet.validation.meter_limits import DAY_LEEWAY, LEEWAY, LIMITS

SAME_LIFE = 0.05
"""Hours, metres or cycles by which two words on a meter's life may differ by rounding."""


@dataclass(frozen=True, order=True)
class _Point:
    """What a meter showed at a time, and of which entry that is known."""

    at: datetime
    value: float
    tag: str


def join_meters(keep: Machine, gone: Machine, now: datetime) -> None:
    """Put the meters of one entry and what they showed onto the one that stays.

    Call it inside the transaction that merges them.  Raises Refusal where readings contradict.
    """
    for kind in MeterKind.values:
        kept, others = _meters(keep, kind), _meters(gone, kind)
        if not others:
            continue
        if not kept or _apart(kept, others):
            Meter.objects.filter(pk__in=[meter.pk for meter in others]).update(machine=keep)
            continue
        if len(others) > 1:
            raise Refusal(_swapped_twice(keep, gone, kind, len(kept) > 1))
        _join(kept, others[0], now)


def _meters(machine: Machine, kind: str) -> list[Meter]:
    rows = Meter.objects.filter(machine=machine, kind=kind).select_related("machine__yard")
    return list(rows.order_by("fitted_at", "pk"))


def _apart(kept: Sequence[Meter], others: Sequence[Meter]) -> bool:
    """Whether the meters of one entry had all come off before those of the other were fitted."""
    return any(
        one[-1].removed_at is not None and one[-1].removed_at <= two[0].fitted_at
        for one, two in ((kept, others), (others, kept))
    )


def _swapped_twice(keep: Machine, gone: Machine, kind: str, both: bool) -> str:
    meter = MeterKind(kind).label.lower()
    if both:
        return (
            f"Both entries had their {meter} swapped or rolled over, so it cannot be told which"
            " meter is which. Strike the swap from one of them first."
        )
    return (
        f"The {meter} of {gone} was swapped or rolled over and that of {keep} was not: merge them"
        f" the other way round, so that {gone} stays."
    )


def _join(kept: Sequence[Meter], other: Meter, now: datetime) -> None:
    """Put the readings of one meter onto those of the entry that stays, each in its time."""
    points = _points([*kept, other])
    for row, after in zip(kept, [*kept[1:], None], strict=True):
        first = None if row is kept[0] else row.fitted_at
        last = None if after is None else after.fitted_at
        _check([p for p in points if _within(p.at, first, last)], row, now)
    _one_life(kept[0], other)
    for row, after in zip(kept, [*kept[1:], None], strict=True):
        first = None if row is kept[0] else row.fitted_at
        _move(other, row, first, None if after is None else after.fitted_at)


def _within(at: datetime, first: datetime | None, last: datetime | None) -> bool:
    return (first is None or at >= first) and (last is None or at < last)


def _points(meters: Iterable[Meter]) -> list[_Point]:
    """Return all that these meters are known to have shown, by time."""
    by_key = {meter.pk: meter for meter in meters}
    found = [_Point(m.fitted_at, m.first_value, m.machine.tag) for m in by_key.values()]
    for meter_id, at, value in (
        standing().filter(meter__in=by_key).values_list("meter_id", "read_at", "value")
    ):
        found.append(_Point(at, value, by_key[meter_id].machine.tag))
    return sorted(found)


def _check(points: Sequence[_Point], meter: Meter, now: datetime) -> None:
    """Refuse two neighbours, one of each entry, that the same meter cannot have shown."""
    limits = LIMITS[MeterKind(meter.kind)]
    for one, two in pairwise(points):
        near = two.at - one.at <= DAY_LEEWAY
        dip = limits.dip + (limits.most(DAY_LEEWAY) if near else 0.0)
        back = one.value - two.value > dip
        fast = two.value - one.value > limits.most(two.at - one.at + DAY_LEEWAY + LEEWAY)
        if one.tag != two.tag and (back or fast):
            raise Refusal(_contradiction(one, two, meter, now))


def _contradiction(one: _Point, two: _Point, meter: Meter, now: datetime) -> str:
    yard = meter.machine.yard
    today = now.astimezone(yard.zone).date()

    def said(point: _Point) -> str:
        shown = show_use(point.value, meter.kind, yard.units)
        return f"{point.tag} showed {shown} on {say_moment(point.at, yard.zone, today)}"

    return (
        f"One {MeterKind(meter.kind).label.lower()} cannot have shown both: {said(one)}, and"
        f" {said(two)}. Correct the one that is wrong first; if both are right, they are two"
        " machines."
    )


def _one_life(kept: Meter, other: Meter) -> None:
    """Let the meter that stays begin where the earlier entry did, with the life that is known."""
    ours, theirs = _ahead(kept), _ahead(other)
    if ours is not None and theirs is not None and abs(ours - theirs) > SAME_LIFE:
        units = kept.machine.yard.units
        raise Refusal(
            f"By {kept.machine} the machine had run"
            f" {show_use(abs(ours), kept.kind, units)} beside what this meter shows, by"
            f" {other.machine} {show_use(abs(theirs), kept.kind, units)}. Correct one of the two."
        )
    if other.fitted_at < kept.fitted_at:
        kept.fitted_at, kept.first_value = other.fitted_at, other.first_value
    ahead = theirs if ours is None else ours
    kept.life_at_fitting = None if ahead is None else kept.first_value + ahead
    kept.save(update_fields=["fitted_at", "first_value", "life_at_fitting"])


def _ahead(meter: Meter) -> float | None:
    """Return by how much the machine's life was ahead of its meter; None where nobody said."""
    known = meter.life_at_fitting
    return None if known is None else known - meter.first_value


def _move(other: Meter, row: Meter, first: datetime | None, last: datetime | None) -> None:
    """Move readings of a time onto a meter, and what the book says of it; doubles stay behind."""
    read, done = Q(meter=other), Q(meter=other)
    if first is not None:
        read, done = read & Q(read_at__gte=first), done & Q(record__done_at__gte=first)
    if last is not None:
        read, done = read & Q(read_at__lt=last), done & Q(record__done_at__lt=last)
    known = set(Reading.objects.filter(meter=row, corrects=None).values_list("read_at", "value"))
    rows = Reading.objects.filter(read).values_list("pk", "read_at", "value", "corrects")
    moving = [pk for pk, at, value, corrects in rows if corrects or (at, value) not in known]
    Reading.objects.filter(pk__in=moving).update(meter=row)
    RecordedMeter.objects.filter(done).update(meter=row)
