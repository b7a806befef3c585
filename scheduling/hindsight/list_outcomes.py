"""What became of each entry of the lists, and why.  Pure: facts in, one outcome an entry out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from scheduling.hindsight.list_entries import Deed, Judged, ListEntry, ListOutcome

LONGEST_LATE = 45
"""Days; the same service done later than this is the next one, not this one."""
LONGEST_EARLY = 14
"""Days before the day of a list within which work can have been done without its knowing."""

NO_REASON = "no reason on record"
MOVED = "planned again for another day"


@dataclass(frozen=True)
class DayCircumstances:
    """What can stand behind work that was not done on its day.

    put_off: (key of the work, day) -> reason; closed: day -> why; away: (person, day);
    out: (machine, day) on a booking.
    """

    put_off: Mapping[tuple[str, date], str] = field(default_factory=dict)
    closed: Mapping[date, str] = field(default_factory=dict)
    away: frozenset[tuple[int, date]] = frozenset()
    out: frozenset[tuple[int, date]] = frozenset()

    def why(self, entry: ListEntry) -> str:
        """Return what a person said, else what the facts of the day show."""
        said = self.put_off.get((entry.work_key, entry.day))
        if said:
            return said
        if entry.moved:
            return MOVED
        if entry.day in self.closed:
            reason = self.closed[entry.day]
            return f"the shop was closed: {reason}" if reason else "the shop was closed"
        if entry.mechanic_id is not None and (entry.mechanic_id, entry.day) in self.away:
            return f"{entry.mechanic} was away"
        if (entry.machine, entry.day) in self.out:
            return "the machine was out on a booking"
        return NO_REASON


Past = Mapping[tuple[int, int], datetime]
"""(machine, service) -> when its first entry was put into the book, days after it was done."""


def judge(
    entries: Sequence[ListEntry],
    deeds: Sequence[Deed],
    circumstances: DayCircumstances,
    past: Past | None = None,
) -> list[Judged]:
    """Judge every entry against what was done.

    Where the past of a machine came into the book only after the list was made, the list could not
    know: what it asked for in vain, or late, is left out.
    """
    found = matched(entries, deeds)
    judged = [_judged(entry, found.get(entry), circumstances) for entry in entries]
    return [one for one in judged if not _could_not_know(one, past or {})]


def _could_not_know(one: Judged, past: Past) -> bool:
    if one.outcome not in (ListOutcome.LATER, ListOutcome.NOT_DONE) or one.entry.service is None:
        return False
    put_in = past.get((one.entry.machine, one.entry.service))
    return put_in is not None and one.entry.made < put_in


def matched(entries: Iterable[ListEntry], deeds: Iterable[Deed]) -> dict[ListEntry, Deed]:
    """Return the work that was done for each entry; one that was not done is absent."""
    by_machine: dict[int, list[Deed]] = {}
    for deed in sorted(deeds, key=lambda deed: (deed.day, deed.pk)):
        by_machine.setdefault(deed.machine, []).append(deed)
    pairs = ((entry, deed_of(entry, by_machine.get(entry.machine, ()))) for entry in entries)
    return {entry: deed for entry, deed in pairs if deed}


def _judged(entry: ListEntry, deed: Deed | None, circumstances: DayCircumstances) -> Judged:
    done_on = deed.day if deed else None
    if done_on == entry.day:
        return Judged(entry, ListOutcome.ON_DAY, done_on)
    why = circumstances.why(entry)
    if (entry.work_key, entry.day) in circumstances.put_off:
        return Judged(entry, ListOutcome.PUT_OFF, done_on, why)
    if done_on is None:
        return Judged(entry, ListOutcome.NOT_DONE, None, why)
    if done_on < entry.day:
        return Judged(entry, ListOutcome.EARLIER, done_on, "done before its day came")
    return Judged(entry, ListOutcome.LATER, done_on, why)


def deed_of(entry: ListEntry, deeds: Iterable[Deed]) -> Deed | None:
    """Return the work of the entry: the first that was written down after the list was made."""
    for deed in deeds:
        days = (deed.day - entry.day).days
        near = -LONGEST_EARLY <= days <= LONGEST_LATE
        if near and deed.entered >= entry.made and deed.does(entry):
            return deed
    return None
