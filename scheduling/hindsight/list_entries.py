"""What schedule compliance is made of: entries of lists, work done, what became of each entry."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from fleet.saying import counted


class ListOutcome(StrEnum):
    """What became of one piece of work on the list of one day; each entry has one."""

    ON_DAY = "on_day"
    EARLIER = "earlier"
    LATER = "later"
    PUT_OFF = "put_off"
    NOT_DONE = "not_done"


WORDS: dict[ListOutcome, str] = {
    ListOutcome.ON_DAY: "done on the day",
    ListOutcome.EARLIER: "done earlier",
    ListOutcome.LATER: "done later",
    ListOutcome.PUT_OFF: "put off",
    ListOutcome.NOT_DONE: "not done",
}
"""What people call an outcome."""


@dataclass(frozen=True)
class ListEntry:
    """One piece of work on the list of one day.

    made: when the list was made; what the book was told later than that, the list did not know.
    moved: it was published for this day, and the list with which the day began had it no more.
    """

    day: date
    made: datetime
    machine: int
    tag: str
    work_key: str
    title: str
    service: int | None
    finding: int | None
    mechanic: str
    mechanic_id: int | None
    minutes: int
    moved: bool = False


@dataclass(frozen=True)
class Deed:
    """A service or repair that was done; services: it and those that it covers.

    entered: when it was written down; minutes: None where nobody wrote them.
    """

    pk: int
    machine: int
    day: date
    entered: datetime
    services: frozenset[int] = frozenset()
    finding: int | None = None
    minutes: int | None = None

    def does(self, entry: ListEntry) -> bool:
        """Whether this is the work of an entry."""
        if entry.finding is not None:
            return self.finding == entry.finding
        return self.machine == entry.machine and entry.service in self.services


@dataclass(frozen=True)
class Judged:
    """An entry with what became of it, when it was done, and why not on its day."""

    entry: ListEntry
    outcome: ListOutcome
    done_on: date | None = None
    why: str = ""

    @property
    def days_off(self) -> int:
        """Days from its day to the day on which it was done; 0 where it was not."""
        return (self.done_on - self.entry.day).days if self.done_on else 0

    @property
    def says_off(self) -> str:
        """Say how far off it was: "2 days later", "1 day earlier"."""
        word = "later" if self.days_off > 0 else "earlier"
        return f"{counted(abs(self.days_off), 'day')} {word}"
