"""A reading to validate: its meter, that meter's history, the verdict.

`look` is the one function that judges: a typed reading brings its own meter's history, a file the
histories of all meters that it names.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from functools import lru_cache

from fleet.models import Machine, Meter, MeterKind, Person, Reading, Source
from fleet.quantities import unit_size
from fleet.queries.meter_lives import Fittings
from fleet.queries.standing_readings import histories
from fleet.refusal import Refusal
from fleet.saying import joined
from fleet.validation import (
    Face,
    Fault,
    MeterHistory,
    ReadingAnswer,
    ReadingContext,
    ReadingReason,
    ReadingVerdict,
    Seen,
    ShownReading,
    judge,
    say_verdict,
)

NAMES = {
    MeterKind.HOURS: "hour meter",
    MeterKind.DISTANCE: "odometer",
    MeterKind.CYCLES: "cycle counter",
}
"""Kinds of meter as people call them."""

LABELS = {
    MeterKind.HOURS: "an hour meter",
    MeterKind.DISTANCE: "an odometer",
    MeterKind.CYCLES: "a cycle counter",
}
"""Kinds of meter with their article."""


@dataclass(frozen=True, kw_only=True)
class NewReading:
    """What a meter of a machine is said to have shown.

    value: hours, metres or cycles.  day_only: read_at is some moment of a day, its time not known.
    form_key: made with the form, so that a form sent twice is one reading.
    old_last, new_first, swapped_at: of a swap, for the answer "swapped"; all may be left out.
    """

    machine: Machine
    kind: str
    value: float
    read_at: datetime
    source: str = Source.ROUND
    by: Person | None = None
    day_only: bool = False
    form_key: str = ""
    note: str = ""
    old_last: float | None = None
    new_first: float | None = None
    swapped_at: datetime | None = None

    def shown(self) -> ShownReading:
        """Return the reading as validation judges it."""
        if not self.day_only:
            return ShownReading(self.value, self.read_at)
        return ShownReading(self.value, self.read_at, day_of(self.read_at, self.machine.yard.zone))

    def place(self, now: datetime) -> ReadingContext:
        """Return whose reading it is and how it is told there."""
        yard = self.machine.yard
        return ReadingContext(self.machine.tag, MeterKind(self.kind), yard.units, yard.zone, now)


@lru_cache(maxsize=4096)
def day_of(at: datetime, zone: tzinfo) -> tuple[datetime, datetime]:
    """Return the first and the last moment of a yard's day; a file has thousands of rows of one."""
    midnight = at.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight, midnight + timedelta(days=1) - timedelta(microseconds=1)


class ReadingRefused(Refusal):
    """A reading that was not taken; the verdict holds the sentence and the choices."""

    def __init__(self, verdict: ReadingVerdict, new: NewReading) -> None:
        super().__init__(verdict.sentence, "value")
        self.verdict = verdict
        self.new = new


@dataclass(frozen=True)
class ReadingJudgement:
    """What validation found: the verdict and, where there is a meter, its history and the fault."""

    new: NewReading
    verdict: ReadingVerdict
    meter: Meter | None = None
    history: MeterHistory | None = None
    fault: Fault | None = None


def look(
    new: NewReading, fittings: Fittings, known: Mapping[int, MeterHistory], now: datetime
) -> ReadingJudgement:
    """Judge one reading by meters and histories that were loaded before."""
    meter = fittings.at(new.machine.pk, new.kind, new.read_at)
    if meter is None:
        return ReadingJudgement(new, _no_meter(new, fittings, now))
    kind = MeterKind(meter.kind)
    face = Face(kind, unit_size(kind, new.machine.yard.units), meter.rolls_over_at)
    shown, history = new.shown(), known[meter.pk]
    fault = judge(shown, face, history, now)
    return ReadingJudgement(new, say_verdict(fault, shown, new.place(now)), meter, history, fault)


def look_instead(new: NewReading, old: Reading, now: datetime) -> ReadingJudgement:
    """Judge what a reading should have been, as if the old one had never been."""
    return look_alone(new, now, without=Seen(old.read_at, old.value))


def look_alone(new: NewReading, now: datetime, without: Seen | None = None) -> ReadingJudgement:
    """Judge one reading, loading what that takes; four queries at most."""
    fittings = Fittings.of([new.machine.pk])
    meter = fittings.at(new.machine.pk, new.kind, new.read_at)
    span = new.shown().span
    known = histories([meter], min(span[0], new.read_at), span[1]) if meter else {}
    if meter and without in known[meter.pk].seen:
        known[meter.pk].seen.remove(without)
    return look(new, fittings, known, now)


def look_together(news: Sequence[NewReading], now: datetime) -> list[ReadingJudgement]:
    """Judge readings of one visit, each of another meter, in as many queries as one takes."""
    fittings = Fittings.of({new.machine.pk for new in news})
    found = [fittings.at(new.machine.pk, new.kind, new.read_at) for new in news]
    meters = [meter for meter in found if meter]
    spans = [new.shown().span for new in news]
    first = min(min(span[0], new.read_at) for span, new in zip(spans, news, strict=True))
    known = histories(meters, first, max(span[1] for span in spans)) if meters else {}
    return [look(new, fittings, known, now) for new in news]


def _no_meter(new: NewReading, fittings: Fittings, now: datetime) -> ReadingVerdict:
    """Say why no meter can have shown a reading: none of the kind, or none fitted then."""
    place, label = new.place(now), LABELS[MeterKind(new.kind)]
    first = fittings.first(new.machine.pk, new.kind)
    if first is None:
        others = [LABELS[kind] for kind in fittings.kinds(new.machine.pk)]
        has = f"it has {joined(others)}" if others else "it has no meter of any kind"
        sentence = (
            f"{place.tag} has no {NAMES[MeterKind(new.kind)]}; {has}."
            " Correct the row, or fit the meter in Set-up."
        )
        return ReadingVerdict(ReadingReason.NO_METER, sentence, (ReadingAnswer.MISTYPED,))
    if new.read_at < first.fitted_at:
        sentence = (
            f"{place.tag} was fitted with {label} on {place.day(first.fitted_at)}, and this reading"
            f" is of {place.day(new.read_at)}. Correct the date, or the day of fitting in Set-up."
        )
        return ReadingVerdict(ReadingReason.BEFORE_FITTED, sentence, (ReadingAnswer.MISTYPED,))
    sentence = (
        f"{place.tag} no longer had {label} on {place.day(new.read_at)}."
        " Correct the date, or fit the new meter in Set-up."
    )
    return ReadingVerdict(ReadingReason.NO_METER, sentence, (ReadingAnswer.MISTYPED,))
