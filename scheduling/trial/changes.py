"""What may be changed in a copy of a shop's plan; each kind of change is a small value.

A change names what it is about by key and by word, so that it can be applied, made a fact and
said without asking the database again.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from scheduling.trial.plain_json import from_plain, to_plain


@dataclass(frozen=True)
class DayClosed:
    """The shop does not work on a day."""

    day: date
    reason: str = ""


@dataclass(frozen=True)
class DayOpened:
    """The shop works so many hours on a day on which it is closed otherwise."""

    day: date
    hours: float


@dataclass(frozen=True)
class Away:
    """A mechanic is away, first and last day included."""

    person: int
    name: str
    first: date
    last: date
    reason: str = ""


@dataclass(frozen=True)
class HandLent:
    """Somebody more works in the shop on some days.

    person, username: one of our own, of another shop; without them somebody from outside.
    """

    name: str
    hours: float
    skills: tuple[str, ...]
    first: date
    last: date
    person: int | None = None
    username: str = ""


@dataclass(frozen=True)
class PartLate:
    """A delivery comes on another day than was expected (and at the latest)."""

    delivery: int
    part: int
    name: str
    quantity: float
    day: date
    expected: date
    latest: date | None = None


@dataclass(frozen=True)
class PartGone:
    """So many of a part (pieces or mL) really lie on the shelf."""

    part: int
    name: str
    left: float


@dataclass(frozen=True)
class Booked:
    """A booking more is taken; the machine is promised first and last day included."""

    machine: int
    tag: str
    first: date
    last: date
    customer: str
    value: float | None = None


@dataclass(frozen=True)
class BackLate:
    """A machine that is out comes back later: the new last day of its booking."""

    booking: int
    machine: int
    tag: str
    day: date


@dataclass(frozen=True)
class Moved:
    """Work is fixed to a day, and to a mechanic (user name) if one is named."""

    machine: int
    tag: str
    work_key: str
    title: str
    day: date
    mechanic: str | None = None


@dataclass(frozen=True)
class TakesLonger:
    """Work takes so many minutes from now on."""

    machine: int
    tag: str
    work_key: str
    title: str
    minutes: int


@dataclass(frozen=True)
class MoreOvertime:
    """Each mechanic may work so many hours of overtime on a day beyond the usual limit."""

    day: date
    hours: float


@dataclass(frozen=True)
class BayLost:
    """So many bays of the shop cannot be used, first and last day included."""

    bays: int
    first: date
    last: date
    reason: str = ""


@dataclass(frozen=True)
class BrokeDown:
    """A machine broke down.  What was found and its hold are facts from the moment it was said;
    the plan that is mended takes them in."""

    machine: int
    tag: str
    text: str


Change = (
    DayClosed
    | DayOpened
    | Away
    | HandLent
    | PartLate
    | PartGone
    | Booked
    | BackLate
    | Moved
    | TakesLonger
    | MoreOvertime
    | BayLost
    | BrokeDown
)

WHAT: dict[str, type] = {
    "closed": DayClosed,
    "opened": DayOpened,
    "away": Away,
    "lent": HandLent,
    "late": PartLate,
    "gone": PartGone,
    "booked": Booked,
    "back-late": BackLate,
    "moved": Moved,
    "longer": TakesLonger,
    "overtime": MoreOvertime,
    "bay": BayLost,
    "broke-down": BrokeDown,
}
"""Word by which a change is kept -> its kind."""

WORDS = {kind: word for word, kind in WHAT.items()}


def kept(change: Change) -> dict[str, Any]:
    """Return a change as it is kept in a row."""
    return {"what": WORDS[type(change)], **to_plain(change)}


def read(row: Any) -> Change:
    """Return a kept change; ValueError where it is none."""
    word = row.get("what") if isinstance(row, dict) else None
    if word not in WHAT:
        raise ValueError(f"{word!r:.40} is no kind of change")
    change: Change = from_plain(WHAT[word], {k: v for k, v in row.items() if k != "what"}, word)
    return change
