"""Bookings at risk by what is left to decide: no way yet, planned in time, out now."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fleet.models import Booking, Override
from fleet.saying import short_date
from scheduling.models import Block
from scheduling.queries.risk_advice import AtRisk

GIVEN_UP = (
    "The plan gives it up: the work before it has no place that costs less than this booking is"
    " worth."
)
"""What is said of a booking that the plan gives up."""

NOBODY_DECIDES = (Block.Kind.HOLD, Block.Kind.RETIRED)
"""Kinds of block that a decision against it does not lift."""


AT_ONCE = 2
"""Bookings without a way that are shown at once where fewer go out today."""

LATER_LINES = 10
"""Later bookings without a way that come with the page."""


@dataclass(frozen=True)
class RiskGroups:
    """Three groups, each soonest first.

    no_way: somebody has to decide.  planned: the shop does the work before they go, or somebody
    decided that they go as they are.  out: they have gone.  today: those of the first that go out
    today.
    """

    no_way: Sequence[AtRisk] = ()
    planned: Sequence[AtRisk] = ()
    out: Sequence[AtRisk] = ()
    today: Sequence[AtRisk] = ()

    @property
    def at_once(self) -> Sequence[AtRisk]:
        """Those without a way that are shown at once: today's, or the next ones."""
        return self.no_way[: max(len(self.today), AT_ONCE)]

    @property
    def later(self) -> Sequence[AtRisk]:
        """The others without a way."""
        return self.no_way[len(self.at_once) :]

    @property
    def next_later(self) -> Sequence[AtRisk]:
        """Those of the others that go out first: as many as a page holds."""
        return self.later[:LATER_LINES]

    @property
    def last(self) -> Sequence[AtRisk]:
        """The rest without a way, which are fetched when they are looked at."""
        return self.later[LATER_LINES:]

    @property
    def given_up(self) -> int:
        """How many bookings without a way the plan gives up."""
        return sum(entry.given_up for entry in self.no_way)

    def narrowed(self, takes: Callable[[AtRisk], bool]) -> "RiskGroups":
        """Return the groups with those bookings alone that are wanted."""
        return RiskGroups(
            *(
                [entry for entry in group if takes(entry)]
                for group in (self.no_way, self.planned, self.out, self.today)
            )
        )

    @property
    def others(self) -> list[tuple[str, str, Sequence[AtRisk]]]:
        """The groups in which nobody has to decide: word in the address, words, bookings."""
        return [
            ("in-time", "planned in time", self.planned),
            ("out-now", "out now", self.out),
        ]

    @property
    def all(self) -> list[AtRisk]:
        """All of them, those without a way first."""
        return [*self.no_way, *self.planned, *self.out]


def risk_groups(entries: Iterable[AtRisk], given_up: Iterable[Booking], today: date) -> RiskGroups:
    """Sort bookings at risk into the groups; one query.

    given_up: bookings that the plan gives up, whether a block stands against them or not.
    """
    listed = _with_given_up(list(entries), {booking.pk: booking for booking in given_up})
    here = [entry for entry in listed if not entry.is_out]
    told = _decided([entry.booking.pk for entry in here if not _has_a_way(entry)], today)
    here = [
        replace(entry, decided=told[entry.booking.pk]) if _is_decided(entry, told) else entry
        for entry in here
    ]
    no_way = [one for one in here if not _has_a_way(one)]
    return RiskGroups(
        no_way,
        [one for one in here if _has_a_way(one)],
        [entry for entry in listed if entry.is_out],
        [one for one in no_way if one.booking.first_day <= today],
    )


def _has_a_way(entry: AtRisk) -> bool:
    return bool(entry.decided) or (entry.in_time and not entry.given_up)


def _with_given_up(entries: list[AtRisk], given_up: dict[int, Booking]) -> list[AtRisk]:
    """Mark those that the plan gives up, and add those against which nothing stands yet."""
    known = {entry.booking.pk for entry in entries}
    found = [
        replace(entry, given_up=True, said=[*entry.said, GIVEN_UP], what_to_do="")
        if entry.booking.pk in given_up and not entry.is_out
        else entry
        for entry in entries
    ]
    found += [
        AtRisk(booking, (), [GIVEN_UP], "", given_up=True)
        for pk, booking in given_up.items()
        if pk not in known and not getattr(booking, "is_out", False)
    ]
    return sorted(found, key=lambda one: (one.booking.first_day, one.booking.pk))


def _decided(booking_ids: Collection[int], today: date) -> dict[int, str]:
    """Return booking -> who decided that it goes anyway, and why."""
    told: dict[int, list[str]] = defaultdict(list)
    if not booking_ids:
        return {}
    rows = Override.objects.filter(booking__in=booking_ids, struck=False).select_related(
        "by", "machine__yard"
    )
    for row in rows.order_by("at"):
        day = row.at.astimezone(row.machine.yard.zone).date()
        said = f"{row.by} let it go anyway on {short_date(day, today)}: {row.reason}"
        if said not in told[row.booking_id]:
            told[row.booking_id].append(said)
    return {pk: " ".join(said) for pk, said in told.items()}


def _is_decided(entry: AtRisk, told: dict[int, str]) -> bool:
    """Whether somebody decided, and nothing stands against it that nobody decides."""
    final = any(block.hard or block.kind in NOBODY_DECIDES for block in entry.blocks)
    return entry.booking.pk in told and not final
