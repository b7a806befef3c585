"""The verdict on a reading: the sentence and the choices, in the words of the trade."""

from dataclasses import dataclass
from datetime import date, datetime, tzinfo

from fleet.models.makeups import MeterKind
from fleet.quantities import KILOMETRE, MILE, show_step, show_use
from fleet.saying import say_moment, short_date
from fleet.validation.judging import Fault, ShownReading
from fleet.validation.meter_limits import HOUR, LIMITS
from fleet.validation.reasons import ODD, ReadingAnswer, ReadingReason


@dataclass(frozen=True)
class ReadingVerdict:
    """The verdict on a reading; `meant` is a value in stored units that would fit."""

    reason: ReadingReason
    sentence: str = ""
    choices: tuple[ReadingAnswer, ...] = ()
    meant: float | None = None

    @property
    def fine(self) -> bool:
        """Whether the reading can be taken as it is."""
        return self.reason is ReadingReason.FINE

    @property
    def known(self) -> bool:
        """Whether the same reading is here already."""
        return self.reason is ReadingReason.DUPLICATE


@dataclass(frozen=True)
class ReadingContext:
    """Whose reading it is and how it is told there: tag, kind of meter, units, zone, now."""

    tag: str
    kind: MeterKind
    units: str
    zone: tzinfo
    now: datetime

    def use(self, value: float) -> str:
        """Say a meter value: "412.0 h"."""
        return show_use(value, self.kind, self.units)

    def step(self, value: float) -> str:
        """Say a difference on the meter: "198 h"."""
        return show_step(value, self.kind, self.units)

    def day(self, at: datetime) -> str:
        """Say a day of the yard: "Mon 2 Mar"."""
        return short_date(at.astimezone(self.zone).date(), self._today)

    def moment(self, at: datetime) -> str:
        """Say a moment of the yard: "Mon 2 Mar, 14:05"."""
        return say_moment(at, self.zone, self._today)

    @property
    def _today(self) -> date:
        return self.now.astimezone(self.zone).date()


def say_verdict(fault: Fault, shown: ShownReading, place: ReadingContext) -> ReadingVerdict:
    """Put a fault into a sentence and the choices that a person has."""
    if fault.reason is ReadingReason.FINE:
        return ReadingVerdict(ReadingReason.FINE)
    sentence = _SENTENCES[fault.reason](fault, shown, place)
    return ReadingVerdict(fault.reason, sentence, choices(fault), fault.meant)


def choices(fault: Fault) -> tuple[ReadingAnswer, ...]:
    """Return what may be answered to a fault, the likeliest first."""
    if fault.reason is ReadingReason.DUPLICATE:
        return ()
    if fault.reason is ReadingReason.SAME_TIME:
        return (ReadingAnswer.MISTYPED, ReadingAnswer.REPLACES)
    if fault.reason not in ODD:
        return (ReadingAnswer.MISTYPED,)
    meant = (ReadingAnswer.MEANT,) if fault.meant is not None else ()
    rolled = (ReadingAnswer.ROLLED_OVER,) if fault.rolls_over_at is not None else ()
    return (*meant, ReadingAnswer.MISTYPED, ReadingAnswer.SWAPPED, *rolled, ReadingAnswer.REALLY_SO)


def _not_a_number(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    return "A meter shows a number from 0 up; write it in digits, such as 412.5."


def _future(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    return f"{place.moment(shown.at)} is in the future; write when the meter was read."


def _duplicate(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    when = place.day(shown.at) if shown.day else place.moment(shown.at)
    return f"{place.tag} already has {place.use(shown.value)} for {when}; nothing was added."


def _same_time(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    known = place.use(fault.near.value) if fault.near else ""
    return (
        f"{place.tag} already has {known} for {place.moment(shown.at)}; {place.use(shown.value)}"
        " at the same time cannot be right too. Mistyped, or does it take the other's place?"
    )


def _was(fault: Fault, place: ReadingContext, *, timed: bool = False) -> str:
    near = fault.near
    if near is None:
        return f"{place.tag}:"
    when = place.moment(near.at) if timed else place.day(near.at)
    event = f"when its meter was {near.event} on" if near.event else "on"
    return f"{place.tag} showed {place.use(near.value)} {event} {when};"


def _backwards(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    near, value = fault.near, place.use(shown.value)
    if near is None:
        return f"{value} would be backwards. Mistyped, or was the meter swapped?"
    step = place.step(abs(near.value - shown.value))
    if near.at > shown.at:
        return (
            f"{_was(fault, place)} {value} on {place.day(shown.at)}, before that, would be {step}"
            " more. Mistyped, a wrong date, or was the meter swapped?"
        )
    if fault.rolls_over_at is not None:
        return (
            f"{_was(fault, place)} {value} would be {step} back. Mistyped, was the meter swapped,"
            f" or did it roll over at {place.use(fault.rolls_over_at)}?"
        )
    return f"{_was(fault, place)} {value} would be {step} back. Mistyped, or was the meter swapped?"


def _gap(fault: Fault, shown: ShownReading) -> tuple[float, float]:
    """Return the step between the reading and its neighbour, and the hours between them."""
    if fault.near is None:
        return shown.value, 0.0
    return abs(shown.value - fault.near.value), abs(shown.at - fault.near.at) / HOUR


def _hours(hours: float) -> str:
    if hours < 1:
        return f"{round(hours * 60)} min"
    return f"{hours:,.1f} h".replace(".0 ", " ") if hours < 48 else f"{hours / 24:,.0f} days"


def _too_much(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    step, hours = _gap(fault, shown)
    return (
        f"{_was(fault, place, timed=True)} {place.use(shown.value)} on {place.moment(shown.at)}"
        f" would be {place.step(step)} of work in {_hours(hours)} by the clock."
        " Mistyped, a wrong date, or was the meter swapped?"
    )


def _outran(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    step, hours = _gap(fault, shown)
    return (
        f"{_was(fault, place, timed=True)} {place.use(shown.value)} on {place.moment(shown.at)}"
        f" would be {place.step(step)} in {_hours(hours)}: {_pace(step, hours, place)}."
        " Mistyped, a wrong date, or was the meter swapped?"
    )


def _pace(step: float, hours: float, place: ReadingContext) -> str:
    limits = LIMITS[place.kind]
    hours = max(hours, 1 / 60)
    if place.kind == MeterKind.CYCLES:
        return (
            f"{step / hours / 60:,.0f} cycles a minute, and no more than"
            f" {limits.pace / 60:,.0f} can be right"
        )
    size, name = (MILE, "mph") if place.units == "us" else (KILOMETRE, "km/h")
    return (
        f"{step / size / hours:,.0f} {name} day and night, and no more than"
        f" {limits.pace / size:,.0f} {name} for {limits.hours:.0f} h a day can be right"
    )


def _how_far(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    step = shown.value - (fault.near.value if fault.near else 0.0)
    way = "more" if step >= 0 else "back"
    return f"{_was(fault, place)} {place.use(shown.value)} would be {place.step(abs(step))} {way}."


def _slipped_point(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    meant = place.use(fault.meant or 0.0)
    return (
        f"{_how_far(fault, shown, place)} With the decimal point one place over it fits:"
        f" was it {meant}?"
    )


def _wrong_unit(fault: Fault, shown: ShownReading, place: ReadingContext) -> str:
    if place.kind == MeterKind.HOURS:
        other, written = "minutes", f"{shown.value:,.0f} minutes"
    else:
        size, other = (MILE, "km") if place.units == "us" else (KILOMETRE, "mi")
        written = f"{shown.value / size:,.0f} {other}"
    return (
        f"{_how_far(fault, shown, place)} Read as {other} it fits: was it {written}"
        f" ({place.use(fault.meant or 0.0)})?"
    )


_SENTENCES = {
    ReadingReason.NOT_A_NUMBER: _not_a_number,
    ReadingReason.FUTURE: _future,
    ReadingReason.DUPLICATE: _duplicate,
    ReadingReason.SAME_TIME: _same_time,
    ReadingReason.BACKWARDS: _backwards,
    ReadingReason.TOO_MUCH: _too_much,
    ReadingReason.OUTRAN: _outran,
    ReadingReason.SLIPPED_POINT: _slipped_point,
    ReadingReason.WRONG_UNIT: _wrong_unit,
}
