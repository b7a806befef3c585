"""The cells of the last-done page: what was typed, what it means, what is wrong with it."""

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from hashlib import sha256

from django.http import QueryDict

from fleet.actions.put_in_last_done import LastService, Said
from fleet.intake.reading_dates import in_zone
from fleet.intake.written_days import parse_day
from fleet.models import LastDoneAnswer, Meter, Source, Units
from fleet.quantities import parse_use, show_use, unit_of
from fleet.queries.judge_readings import NewReading, look
from fleet.queries.last_done_grid import LastDone, Place
from fleet.queries.meter_lives import Fittings
from fleet.queries.standing_readings import histories
from fleet.saying import short_date
from fleet.validation import MeterHistory, Seen

NOON = time(12)
ANSWERS = LastDoneAnswer.Answer
MOST_DIGITS = 18
"""Digits of a key that a database can hold."""


@dataclass
class LastDoneCell:
    """One service of one machine as it stands on the page."""

    place: LastDone
    day: str = ""
    shown: str = ""
    answer: str = ""
    fault: str = ""
    done_at: datetime | None = None
    value: float | None = None
    meter: Meter | None = None

    @property
    def name(self) -> str:
        """The end of the names of its fields."""
        return f"{self.place.machine.pk}-{self.place.service.pk}"

    @property
    def unit(self) -> str:
        """The unit in which its meter is read."""
        return unit_of(self.place.kind, self.place.machine.yard.units)

    @property
    def typed(self) -> bool:
        """Whether there is anything to take."""
        return bool(self.day or self.shown or self.answer != self.place.answer)


@dataclass
class TypedGrid:
    """All cells that a form held, judged together."""

    cells: dict[Place, LastDoneCell]
    now: datetime
    key: str
    fittings: Fittings = field(default_factory=Fittings)
    known: dict[int, MeterHistory] = field(default_factory=dict)

    @property
    def faulty(self) -> list[LastDoneCell]:
        """Cells that wait for an answer."""
        return [cell for cell in self.cells.values() if cell.fault]

    def services(self) -> list[LastService]:
        """Return what can be written into the book."""
        good = [cell for cell in self.cells.values() if cell.done_at and not cell.fault]
        return [
            LastService(
                cell.place.machine, cell.place.service, cell.done_at, cell.meter, cell.value,
                self._key(cell),
            )
            for cell in good
            if cell.done_at
        ]  # fmt: skip

    def said(self) -> list[Said]:
        """Return what was said instead of a day."""
        return [
            Said(cell.place.machine, cell.place.service, cell.answer)
            for cell in self.cells.values()
            if cell.answer and not cell.done_at and not cell.fault
        ]

    def _key(self, cell: LastDoneCell) -> str | None:
        if not self.key:
            return None
        typed = f"{self.key}|{cell.name}|{cell.day}|{cell.shown}"
        return sha256(typed.encode()).hexdigest()[:40]


def machines_typed(typed: QueryDict) -> set[int]:
    """Return the keys of the machines that a form held."""
    names = (name.split("-") for name in typed if name.startswith(("day-", "shown-", "said-")))
    keys = {parts[1] for parts in names if len(parts) == 3}
    return {int(key) for key in keys if key.isdecimal() and len(key) < MOST_DIGITS}


def judge_typed(places: dict[Place, LastDone], typed: QueryDict, now: datetime) -> TypedGrid:
    """Read all that was typed; five queries whatever its number.  Nothing is written."""
    cells = {}
    for at, place in places.items():
        name = f"{place.machine.pk}-{place.service.pk}"
        day, shown, answer = (
            typed.get(f"{field}-{name}", "").strip() for field in ("day", "shown", "said")
        )
        cell = LastDoneCell(place, day, shown, answer)
        if f"said-{name}" not in typed:
            cell.answer = place.answer
        if cell.typed:
            cells[at] = cell
    grid = TypedGrid(cells, now, typed.get("key", "")[:40])
    for cell in cells.values():
        _read(cell, now)
    _against_meters(grid)
    return grid


def _read(cell: LastDoneCell, now: datetime) -> None:
    """Turn the texts of a cell into a moment and a value, or say what is wrong."""
    if cell.answer not in {"", *ANSWERS.values}:
        cell.answer = ""
    if not (cell.day or cell.shown):
        if not cell.answer:
            cell.fault = "Write the day, or choose what is known of it."
        return
    if cell.answer and cell.answer != cell.place.answer:
        cell.fault = "Either a day or “never” or “not known”; take one of them out."
        return
    cell.answer = ""
    if not cell.day:
        cell.fault = "Write the day too, as near as you know it."
        return
    yard = cell.place.machine.yard
    today = now.astimezone(yard.zone).date()
    try:
        day = parse_day(cell.day, today, month_first=yard.units == Units.US)
        if cell.shown:
            cell.value = parse_use(cell.shown, cell.place.kind, yard.units)
    except ValueError as no:
        cell.fault = str(no)
        return
    cell.fault = _impossible(cell, day, today)
    if not cell.fault:
        noon = in_zone(datetime.combine(day, NOON), yard.zone)
        cell.done_at = min(noon, now)


def _impossible(cell: LastDoneCell, day: date, today: date) -> str:
    """Say why a service cannot have been done on a day; nothing if it can."""
    if day > today:
        return f"{short_date(day, today)} is still to come; write the day when it was last done."
    if day < today - timedelta(days=50 * 365):
        return f"{short_date(day, today)} is more than 50 years ago; look at the year again."
    record = cell.place.record
    zone = cell.place.machine.yard.zone
    if record and day < record.done_at.astimezone(zone).date():
        done = short_date(record.done_at.astimezone(zone).date(), today)
        return f"The book has a later one, of {done}; this page asks for the last."
    return ""


def _against_meters(grid: TypedGrid) -> None:
    """Hold what meters are said to have shown against what they are known to have shown.

    In order of time, each in the light of those before it.
    """
    asked = [cell for cell in grid.cells.values() if cell.done_at and cell.value is not None]
    if not asked:
        return
    grid.fittings = Fittings.of({cell.place.machine.pk for cell in asked})
    found = [_fitted(cell, grid.fittings) for cell in asked]
    meters = list({meter.pk: meter for meter in found if meter}.values())
    moments = [cell.done_at for cell in asked if cell.done_at]
    day = timedelta(days=1)
    grid.known = histories(meters, min(moments) - day, max(moments) + day)
    for cell in sorted(asked, key=lambda one: (one.done_at or grid.now, one.value or 0.0)):
        _judge(cell, grid)


def _fitted(cell: LastDoneCell, fittings: Fittings) -> Meter | None:
    """Return the meter of that time; before the first was fitted, it is the first all the same."""
    machine, kind = cell.place.machine.pk, cell.place.kind
    first = fittings.first(machine, kind)
    if first is None or cell.done_at is None:
        return None
    return first if cell.done_at < first.fitted_at else fittings.at(machine, kind, cell.done_at)


def _judge(cell: LastDoneCell, grid: TypedGrid) -> None:
    machine, kind = cell.place.machine, cell.place.kind
    first = grid.fittings.first(machine.pk, kind)
    if cell.done_at is None or cell.value is None:
        return
    if first is None:
        cell.fault = f"{machine.tag} has no such meter; leave what it showed empty."
    elif cell.done_at < first.fitted_at:
        cell.fault = _before_it_was_fitted(cell, first)
        cell.meter = first
    else:
        new = NewReading(
            machine=machine, kind=kind, value=cell.value, read_at=cell.done_at,
            source=Source.SET_UP, day_only=True,
        )  # fmt: skip
        seen = look(new, grid.fittings, grid.known, grid.now)
        cell.meter = seen.meter
        if not (seen.verdict.fine or seen.verdict.known):
            cell.fault = f"{seen.verdict.sentence} If you are not sure, leave the meter empty."
    if cell.meter and not cell.fault:
        grid.known[cell.meter.pk].add(Seen(cell.done_at, cell.value))


def _before_it_was_fitted(cell: LastDoneCell, first: Meter) -> str:
    """Say why a meter cannot have shown more before it was put in than it did then."""
    if cell.value is None or cell.value <= first.first_value:
        return ""
    yard = cell.place.machine.yard
    shown = show_use(first.first_value, first.kind, yard.units)
    fitted = first.fitted_at.astimezone(yard.zone).date()
    value = show_use(cell.value, first.kind, yard.units)
    return (
        f"The meter stood at {shown} on {short_date(fitted, fitted)} {fitted.year}, so it cannot"
        f" have shown {value} before that. If you are not sure, leave the meter empty."
    )
