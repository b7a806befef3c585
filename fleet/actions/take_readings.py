"""Readings are validated and taken, and put right by new readings."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction

from fleet.actions.correct_readings import Correction, correct_reading, strike_reading
from fleet.actions.fit_meters import Swap, lock_machines, roll_over, swap_meter
from fleet.changed_facts import tell
from fleet.models import Meter, Reading
from fleet.queries.judge_readings import (
    NewReading,
    ReadingJudgement,
    ReadingRefused,
    look_alone,
    look_together,
)
from fleet.queries.standing_readings import standing
from fleet.validation import ReadingAnswer, ReadingReason, ReadingVerdict
from fleet.validation.reasons import ODD

__all__ = [
    "Correction",
    "NewReading",
    "ReadingRefused",
    "check_reading",
    "correct_reading",
    "strike_reading",
    "take_reading",
    "take_together",
    "taken_and_made",
]


def check_reading(new: NewReading, now: datetime) -> ReadingVerdict:
    """Validate a reading and write nothing."""
    return look_alone(new, now).verdict


@transaction.atomic
def take_reading(new: NewReading, now: datetime, answer: str = "") -> Reading:
    """Take a reading, or what the answer to an odd one makes of it.

    A reading that is here already, and a form sent twice, return the reading of the first time.

    Raises:
        ReadingRefused: with a verdict that offers the answers.
        Refusal: a swap that cannot be.

    """
    lock_machines([new.machine.pk])
    if new.form_key:
        made = Reading.objects.filter(form_key=new.form_key).first()
        if made:
            return made
    seen = look_alone(new, now)
    if seen.verdict.known:
        return _same(seen)
    if seen.verdict.fine and answer != ReadingAnswer.SWAPPED:
        return _write(seen, now)
    if answer in seen.verdict.choices or (seen.verdict.fine and answer == ReadingAnswer.SWAPPED):
        return _answered(seen, now, answer)
    raise ReadingRefused(seen.verdict, seen.new)


def take_together(
    news: Sequence[NewReading], answers: Mapping[str, str], now: datetime
) -> list[Reading]:
    """Take readings of one visit, one of each kind of meter, inside the caller's transaction.

    answers: kind -> what a person answered to an odd one.  Each is taken as by `take_reading`, and
    those before one that is refused stay taken; those that are not odd take few queries together.
    """
    return taken_and_made(news, answers, now)[0]


def taken_and_made(
    news: Sequence[NewReading], answers: Mapping[str, str], now: datetime
) -> tuple[list[Reading], dict[str | None, Reading]]:
    """Take readings as `take_together` does; return them, and by form key those made before."""
    if not news:
        return [], {}
    lock_machines(sorted({new.machine.pk for new in news}))
    keys = [new.form_key for new in news if new.form_key]
    made = {row.form_key: row for row in Reading.objects.filter(form_key__in=keys)}
    fresh = [new for new in news if new.form_key not in made]
    judged = look_together(fresh, now) if fresh else []
    if all(_plain(seen, answers) for seen in judged):
        rest = iter(_write_all(judged, now))
    else:
        rest = (take_reading(new, now, answers.get(new.kind, "")) for new in fresh)
    return [made.get(new.form_key) or next(rest) for new in news], made


def _plain(seen: ReadingJudgement, answers: Mapping[str, str]) -> bool:
    """Tell whether a reading is taken as it is; a swap is made even if the reading fits."""
    answer = answers.get(seen.new.kind, "")
    return seen.verdict.fine and not seen.verdict.known and answer != ReadingAnswer.SWAPPED


def _answered(seen: ReadingJudgement, now: datetime, answer: str) -> Reading:
    match answer:
        case ReadingAnswer.REALLY_SO:
            return _write(seen, now, really_so=True)
        case ReadingAnswer.MEANT if seen.verdict.meant is not None:
            return take_reading(replace(seen.new, value=seen.verdict.meant), now)
        case ReadingAnswer.REPLACES:
            return _replace(seen, now)
        case ReadingAnswer.SWAPPED:
            _swap(seen, now)
            return _brought(_on_the_new_meter(seen, now))
        case ReadingAnswer.ROLLED_OVER:
            _roll(seen, now)
            return _brought(take_reading(seen.new, now))
    raise ReadingRefused(seen.verdict, seen.new)


def _brought(reading: Reading) -> Reading:
    """Keep with the new meter which reading brought it, so that both are undone together."""
    Meter.objects.filter(pk=reading.meter_id).update(came_with=reading)
    return reading


def _on_the_new_meter(seen: ReadingJudgement, now: datetime) -> Reading:
    """Take a reading after a swap; if it is odd there too, nothing of the swap is kept."""
    try:
        return take_reading(seen.new, now)
    except ReadingRefused as refused:
        verdict = ReadingVerdict(
            refused.verdict.reason,
            f"With a new meter: {refused.verdict.sentence} Write what the new meter showed when"
            " it was fitted, and when that was.",
            seen.verdict.choices,
            seen.verdict.meant,
        )
        raise ReadingRefused(verdict, seen.new) from refused


def _write(seen: ReadingJudgement, now: datetime, *, really_so: bool = False) -> Reading:
    reading = _reading(seen, now, really_so=really_so)
    try:
        with transaction.atomic():
            reading.save(force_insert=True)
    except IntegrityError:
        return _same(seen)
    tell({seen.new.machine.pk})
    return reading


def _write_all(judged: Sequence[ReadingJudgement], now: datetime) -> list[Reading]:
    """Write readings at one go; one by one where the database has one of them already."""
    readings = [_reading(seen, now) for seen in judged]
    try:
        with transaction.atomic():
            Reading.objects.bulk_create(readings)
    except IntegrityError:
        return [_write(seen, now) for seen in judged]
    if readings:
        tell({seen.new.machine.pk for seen in judged})
    return readings


def _reading(seen: ReadingJudgement, now: datetime, *, really_so: bool = False) -> Reading:
    new = seen.new
    return Reading(
        meter=seen.meter,
        read_at=new.read_at,
        value=new.value,
        source=new.source,
        read_by=new.by,
        entered_at=now,
        really_so=really_so,
        note=new.note,
        form_key=new.form_key or None,
    )


def _same(seen: ReadingJudgement) -> Reading:
    """Return the reading that says the same; one that was corrected since, if it must be."""
    if seen.new.form_key:
        made = Reading.objects.filter(form_key=seen.new.form_key).first()
        if made:
            return made
    same = Reading.objects.filter(
        meter=seen.meter, read_at__range=seen.new.shown().span, value=seen.new.value
    )
    return same.order_by("-pk")[:1].get()


def _previous(seen: ReadingJudgement) -> tuple[datetime, float]:
    """Return when the meter was last read before this reading, and what it showed."""
    before = seen.history.before(seen.new.read_at) if seen.history else None
    if before is None:
        raise ReadingRefused(seen.verdict, seen.new)
    return before.at, before.value


def _swap(seen: ReadingJudgement, now: datetime) -> None:
    """Swap right after the last reading unless told when; the new meter started at 0."""
    new, (before_at, before_value) = seen.new, _previous(seen)
    soonest = min(before_at + timedelta(seconds=1), new.read_at)
    swap_meter(
        Swap(
            meter=_meter(seen),
            at=min(new.swapped_at or soonest, new.read_at),
            old_last=before_value if new.old_last is None else new.old_last,
            new_first=new.new_first or 0.0,
            by=new.by,
        ),
        now,
    )


def _roll(seen: ReadingJudgement, now: datetime) -> None:
    before_at, _ = _previous(seen)
    top = seen.fault.rolls_over_at if seen.fault else None
    if top is None:
        raise ReadingRefused(seen.verdict, seen.new)
    at = min(before_at + timedelta(seconds=1), seen.new.read_at)
    roll_over(_meter(seen), at, top, by=seen.new.by, now=now)


def _meter(seen: ReadingJudgement) -> Meter:
    if seen.meter is None or seen.verdict.reason not in ODD | {ReadingReason.FINE}:
        raise ReadingRefused(seen.verdict, seen.new)
    return seen.meter


def _replace(seen: ReadingJudgement, now: datetime) -> Reading:
    """Let the reading take the place of the one that stands for the same moment."""
    new = seen.new
    other = standing().filter(meter=seen.meter, read_at=new.read_at).order_by("-pk").first()
    if other is None:
        raise ReadingRefused(seen.verdict, seen.new)
    correction = Correction(reading=other, value=new.value, by=new.by, note=new.note, sure=True)
    return correct_reading(correction, now)
