"""The count of one course of the past: the same judge for the book and for every plan.

All is judged by the true lives, as later readings show them.  A machine is overdue on a day when
at the end of it one of its services is past the late end of its window.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass

import numpy as np

from scheduling.core.intervals import DuePoints, DueState, due_states
from scheduling.core.replay.past_shop import Flags, PastBooking, PastShop


@dataclass
class Tally:
    """What a course came to: days, counts, minutes of work, hours on hour meters.

    overdue_days: machine-days past a window; hard_days: those of them past a hard limit; visits:
    machines in the shop, once a day; services: done, without what they cover; bookings: that a due
    service stood against; overtime: minutes beyond the hours there; thrown: hours between a
    service and its due point; put_off: visits that were planned and not made; worked: minutes.
    """

    overdue_days: int = 0
    hard_days: int = 0
    visits: int = 0
    services: int = 0
    bookings: int = 0
    overtime: float = 0.0
    thrown: float = 0.0
    put_off: int = 0
    worked: float = 0.0

    def as_dict(self) -> dict[str, float]:
        """Return the figures by name."""
        return {name: round(float(value), 1) for name, value in asdict(self).items()}

    def judge_day(self, shop: PastShop, points: DuePoints, day: int) -> None:
        """Count the machines that are overdue at the end of a day."""
        lines = shop.lines
        date = np.datetime64(shop.first_day + day, "D")
        late = due_states(points, date, lines.lives_at(day + 1.0)) == DueState.OVERDUE
        late &= lines.since <= day
        self.overdue_days += np.unique(lines.machine[late]).size
        self.hard_days += np.unique(lines.machine[late & points.hard]).size

    def judge_service(self, shop: PastShop, points: DuePoints, line: int, at: float) -> None:
        """Count a service, and the hours of its interval that it threw away."""
        self.services += 1
        if shop.lines.kind[line] == "hours":
            self.thrown += hours_left(shop, points, line, at)

    def judge_bookings(
        self, shop: PastShop, points: DuePoints, starting: Iterable[PastBooking]
    ) -> None:
        """Count the bookings that a service stands against as they begin."""
        self.bookings += sum(bool(stands_against(shop, points, b).any()) for b in starting)

    def judge_minutes(self, minutes: float, hours: float) -> None:
        """Count a day's work in minutes against the hours of all who were there."""
        self.worked += minutes
        self.overtime += max(0.0, minutes - 60.0 * hours)


def hours_left(shop: PastShop, points: DuePoints, line: int, at: float) -> float:
    """Return the hours of use that the machine still had before it on a line at a moment.

    Where the calendar side comes first, those until its day; 0 where it was due already.
    """
    lines = shop.lines
    now = lines.lives_at(at)[line]
    end = points.due_life[line]
    if not np.isnat(points.due_day[line]):
        day = int(points.due_day[line].astype(np.int64)) - shop.first_day
        if day < lines.lives.shape[1]:
            end = np.fmin(end, lines.lives_at(float(day))[line])
    left = end - now
    return float(left) if left > 0 else 0.0


def stands_against(shop: PastShop, points: DuePoints, booking: PastBooking) -> Flags:
    """Return the lines that stop a machine and are past their window before it is back, (l,)."""
    lines = shop.lines
    last = booking.real_last
    date = np.datetime64(shop.first_day + last, "D")
    past = due_states(points, date, lines.lives_at(last + 1.0)) == DueState.OVERDUE
    ours = (lines.machine == booking.machine) & (lines.since <= booking.first)
    return past & ours & lines.blocks
