"""What a client asks, read as people write it: names in any case, days by RFC 3339."""

import re
from collections.abc import Iterable
from dataclasses import replace as dataclass_replace
from datetime import date, datetime, time
from typing import TypeVar

from fleet.booked_times import PromisedDays
from fleet.bring_in.name_matching import NamesOf, SeveralFit
from fleet.intake.written_days import parse_clock
from fleet.models import ClientKey, Machine, MachineClass, Yard
from fleet.queries.machine_classes import machine_classes
from fleet.queries.standing_keys import machine_tagged_for, yards_of_key
from scheduling.availability.counter_facts import Days
from scheduling.forms.counter_forms import DaysForm
from scheduling.interface.problem_details import NotSo

FULL_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
"""full-date of RFC 3339, 5.6."""
SHOWN = 60
"""Characters of what was written that a sentence repeats."""

T = TypeVar("T", MachineClass, Yard)


def class_named(written: str) -> MachineClass:
    """Return the class that is meant; 404 where there is none."""
    return _named("class", written, machine_classes())


def yard_of_key(key: ClientKey, written: str) -> Yard | None:
    """Return the yard that is meant, among those that the key reaches; 404 where there is none."""
    return _named("yard", written, yards_of_key(key)) if written.strip() else None


def machine_tagged(key: ClientKey, tag: str) -> Machine:
    """Return the machine of a tag, in capitals or not; 404 where the key reaches none."""
    machine = machine_tagged_for(key, tag)
    if machine is None:
        raise NotSo(404, f"There is no machine {_shown(tag)} here.", "machine")
    return machine


def days_written(first_day: str, last_day: str, today: date) -> Days:
    """Return days as the counter takes them: in order, not past, at most a year; else 422."""
    written = {"first_day": first_day, "last_day": last_day}
    days = {field: day_written(text, field) for field, text in written.items()}
    form = DaysForm(days, today=today)
    if not form.is_valid():
        field, sentences = next(iter(form.errors.items()))
        raise NotSo(422, str(sentences[0]), str(field))
    return Days(days["first_day"], days["last_day"])


def times_written(days: Days, from_time: str, to_time: str, now: datetime) -> Days:
    """Return days with the times of day that are written, asked now; 422 for what is none."""
    found = dataclass_replace(
        days, now=now, from_time=time_written(from_time, "from_time"),
        to_time=time_written(to_time, "to_time"),
    )  # fmt: skip
    if PromisedDays(days.first, days.last, found.from_time, found.to_time).backwards:
        raise NotSo(422, "It would come back before it goes out; look at the times.", "to_time")
    return found


def time_written(written: str, field: str) -> time | None:
    """Return a time of day written as 07:30; none for the whole day."""
    try:
        return parse_clock(written) if written.strip() else None
    except ValueError as no:
        raise NotSo(422, str(no), field) from None


def day_written(written: str, field: str) -> date:
    """Return a day written as 2026-03-05; 422 for anything else."""
    try:
        if FULL_DATE.fullmatch(written.strip()):
            return date.fromisoformat(written.strip())
    except ValueError:
        pass  # in the right form, and not in the calendar
    said = f"{_shown(written)} is not a day of the calendar; write it as 2026-03-05."
    raise NotSo(422, said, field)


def _named(what: str, written: str, rows: Iterable[T]) -> T:
    names = NamesOf.of([(one.name, one) for one in rows], loose=False)
    try:
        found = names.find(written)
    except SeveralFit as several:
        raise NotSo(404, f"{_shown(written)} may be any of: {several}.", what) from None
    if found is None:
        raise NotSo(404, f"There is no {what} called {_shown(written)} here.", what)
    return found


def _shown(written: str) -> str:
    """Repeat what was written, in one line and without what no screen shows."""
    plain = "".join(c if c.isprintable() else "?" for c in " ".join(written.split()))
    return f"“{plain[:SHOWN]}”"
