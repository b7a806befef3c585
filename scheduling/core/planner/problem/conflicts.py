"""What keeps a task off a day or from a mechanic, as a value: a kind, with days, ids and hours.

Nothing here is a sentence.  Whoever shows a conflict to a person puts it into words outside the
core, where ids have names and days have dates.
"""

from dataclasses import dataclass
from enum import StrEnum


class ConflictKind(StrEnum):
    """Why a task cannot stand somewhere; in brackets the fields of `Conflict` that belong to it."""

    PINNED_ELSEWHERE = "pinned-elsewhere"
    """It is pinned to another day (`day`)."""
    FROZEN_ELSEWHERE = "frozen-elsewhere"
    """It stood in the frozen days and keeps its place there (`day`)."""
    DAYS_FROZEN = "days-frozen"
    """The first days take no new work; `day` is the first that does."""
    PUT_OFF = "put-off"
    """It was put off; `day` is the first on which it may stand."""
    PAST_LIMIT = "past-limit"
    """Its last permitted day (`day`) is over."""
    BOOKED = "booked"
    """The machine is out (`what`: booking, from `day` to `last_day`)."""
    YARD_CLOSED = "yard-closed"
    """The yard (`what`) is closed."""
    SITE_CLOSED = "site-closed"
    """The ranch (`what`) takes no visit."""
    OTHER_YARD = "other-yard"
    """The `mechanic` works at another yard (`what`)."""
    SKILL_NOT_HELD = "skill-not-held"
    """The `mechanic` does not hold the `skill`."""
    KEPT_FOR_OTHER = "kept-for-other"
    """It is pinned to, or stood with, somebody else (`mechanic`)."""
    FORERUNNER_WAITS = "forerunner-waits"
    """A task that has to come before (`what`) has no place."""
    FORERUNNER_LATER = "forerunner-later"
    """A task that has to come before (`what`) is done on `day` only."""
    FOLLOWER_SOONER = "follower-sooner"
    """A task that has to come after (`what`) stands on `day` already."""
    NO_SECOND = "no-second"
    """Nobody else holds the `skill` that the second person needs."""
    SECOND_AWAY = "second-away"
    """Nobody else who holds that `skill` works that day."""
    NOBODY_BEGINS = "nobody-begins"
    """Nobody who may do work that goes on over days has the hours to begin it."""
    LASTS_PAST_PLAN = "lasts-past-plan"
    """Its `hours` are not done by the plan's last day (`day`)."""
    LASTS_PAST_LIMIT = "lasts-past-limit"
    """Its `hours` last until `day`, past its last permitted day (`last_day`)."""
    LASTS_INTO_BOOKING = "lasts-into-booking"
    """Its `hours` last until `day`, when the machine is booked (`what`)."""
    PART_USED_UP = "part-used-up"
    """Too little is left of a part (`what`), and no more is on its way."""
    PART_COMES = "part-comes"
    """Too little is left of a part (`what`) until `day`."""
    PART_MAY_COME = "part-may-come"
    """As `PART_COMES`; `day` is the latest on which a delivery that slips may come."""
    BAYS_FULL = "bays-full"
    """The bays are full, on `day` if that is a later day of a long visit."""
    NO_BAY = "no-bay"
    """There is no bay at all, on `day` if that is a later day of a long visit."""
    HOURS_TAKEN = "hours-taken"
    """The hours of all who could do it (`busy`) are taken."""
    NOBODY_WORKS = "nobody-works"
    """Nobody who holds the `skill` works that day."""
    NOBODY_ABLE = "nobody-able"
    """Nobody at the yard (`what`) may do it, whatever the day (`skill`)."""
    PLAN_ENDED = "plan-ended"
    """The plan ends on `day`."""
    MECHANIC_GONE = "mechanic-gone"
    """The `mechanic` is not among the crew any more."""
    MECHANIC_AWAY = "mechanic-away"
    """The `mechanic` does not work that day."""


@dataclass(frozen=True, slots=True)
class BusyMechanic:
    """How full a mechanic's day is: hours `taken` of those `available`, by the `tasks` named."""

    mechanic: str
    taken: float
    available: float
    tasks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Conflict:
    """What keeps a task off a place.  Days are day numbers, `hours` decimal, the rest ids.

    Which fields mean something is told by `ConflictKind`; the others are empty.
    """

    kind: ConflictKind
    day: int | None = None
    last_day: int | None = None
    what: str = ""
    mechanic: str = ""
    skill: str = ""
    hours: float = 0.0
    busy: tuple[BusyMechanic, ...] = ()
