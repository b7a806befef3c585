"""One change of each kind."""

from datetime import timedelta

from scheduling.trial.changes import (
    Away,
    BackLate,
    BayLost,
    Booked,
    BrokeDown,
    DayClosed,
    DayOpened,
    HandLent,
    MoreOvertime,
    Moved,
    PartGone,
    PartLate,
    TakesLonger,
)
from tests.factories import TODAY


def day(ahead):
    return TODAY + timedelta(days=ahead)


EVERY = [
    DayClosed(day(1), "fair"),
    DayOpened(day(5), 6.0),
    Away(1, "Ada Brook", day(1), day(2), "ill"),
    HandLent("Sam", 8.0, ("general",), day(2), day(3)),
    PartLate(1, 2, "oil filter", 1.0, day(9), day(3), day(4)),
    PartGone(2, "oil filter", 0.0),
    Booked(3, "M-1", day(3), day(6), "Two Pines", 480.0),
    BackLate(4, 3, "M-1", day(2)),
    Moved(3, "M-1", "m:3:5", "Oil change", day(2), "ada"),
    TakesLonger(3, "M-1", "m:3:5", "Oil change", 180),
    MoreOvertime(day(1), 2.0),
    BayLost(1, day(1), day(3), "lift out of order"),
    BrokeDown(3, "M-1", "no drive"),
]
