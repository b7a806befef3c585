"""What was typed on a machine's sheets and is not in the book yet: one's own, and of others."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from fleet.models import Machine, Person, SheetEntry
from fleet.saying import say_moment

OF_TODAY = ("reading_", "worked", "left")
"""Fields whose value is of the day on which it was typed: a meter shows more the next day."""


@dataclass(frozen=True)
class OpenEntries:
    """Entries that stand open on a machine's sheet as one person opens it.

    sheet: key of their own sheet, "" if nothing is kept of one.  own: field -> value.  of_others:
    field -> what others have typed there, as sentences.  past: own entries of an earlier day that
    are of that day alone, and what others typed that has no field here.
    """

    sheet: str = ""
    own: Mapping[str, str] = field(default_factory=dict)
    of_others: Mapping[str, Sequence[str]] = field(default_factory=dict)
    past: Sequence[SheetEntry] = ()

    @property
    def initial(self) -> dict[str, str]:
        """What stands in fields that hold one value."""
        return {name: value for name, value in self.own.items() if "=" not in name}

    def ticked(self, name: str) -> list[str]:
        """Return what is ticked of many ticks of one name."""
        return [key for key, value in self._ticks(name) if value]

    def unticked(self, name: str) -> set[str]:
        """Return what was ticked off of many ticks of one name."""
        return {key for key, value in self._ticks(name) if not value}

    def _ticks(self, name: str) -> list[tuple[str, str]]:
        start = f"{name}="
        return [(n.removeprefix(start), v) for n, v in self.own.items() if n.startswith(start)]


NO_ENTRIES = OpenEntries()


def open_entries(machine: Machine, person: Person, today: date) -> OpenEntries:
    """Return what stands open on the sheets of a machine; one query."""
    rows = list(
        SheetEntry.objects.filter(machine=machine, spent_at=None)
        .select_related("by")
        .order_by("typed_at", "pk")
    )
    mine = [row for row in rows if row.by_id == person.pk]
    sheet = mine[-1].sheet if mine else ""
    zone = machine.yard.zone
    own, past = _split(mine, lambda at: at.astimezone(zone).date() < today)
    said: dict[str, list[str]] = {}
    for row in rows:
        if row.by_id != person.pk and row.value:
            said.setdefault(row.field, []).append(say_entry(row, machine, today))
    return OpenEntries(sheet, own, said, past)


def entries_to_let_go(machine: Machine, person: Person, keys: Iterable[str]) -> list[SheetEntry]:
    """Return which of some entries a person may let go: their own; a manager anybody's."""
    numbers = [int(key) for key in keys if key.isdecimal()]
    rows = SheetEntry.objects.filter(machine=machine, pk__in=numbers, spent_at=None)
    return list(rows if person.manages else rows.filter(by=person))


def say_entry(row: SheetEntry, machine: Machine, today: date) -> str:
    """Say who typed what and when: "Wes typed 3.2 today at 10:05."."""
    at = say_moment(row.typed_at, machine.yard.zone, today)
    what = "ticked it" if "=" in row.field else f"typed “{row.value}”"
    return f"{row.by} {what}, {at}; it stands on their own sheet."


def _split(
    rows: Iterable[SheetEntry], gone_by: Callable[[datetime], bool]
) -> tuple[dict[str, str], list[SheetEntry]]:
    own, past = {}, []
    for row in rows:
        of_day = row.field.startswith(OF_TODAY)
        if of_day and row.value and gone_by(row.typed_at):
            past.append(row)
        else:
            own[row.field] = row.value
    return own, past
