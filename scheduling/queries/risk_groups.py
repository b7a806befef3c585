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
    told = _decided([entry.booking.pk for entry in here if not _has_a_way(entry)])
    here = [_with_decision(entry, told.get(entry.booking.pk, ()), today) for entry in here]
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


def _decided(booking_ids: Collection[int]) -> dict[int, list[Override]]:
    """Return booking -> what was decided of it and stands, the earliest first; one query."""
    told: dict[int, list[Override]] = defaultdict(list)
    if booking_ids:
        rows = Override.objects.filter(booking__in=booking_ids, struck=False)
        for row in rows.select_related("by", "machine__yard").order_by("at", "pk"):
            told[row.booking_id].append(row)
    return told


def _with_decision(entry: AtRisk, told: Sequence[Override], today: date) -> AtRisk:
    """Say who decided that a booking goes as it is, if all that stands against it was decided.

    What was decided of another machine, or against another service, decides nothing here; nor does
    anything lift what nobody decides.
    """
    own = [row for row in told if row.machine_id == entry.booking.machine_id]
    final = any(block.hard or block.kind in NOBODY_DECIDES for block in entry.blocks)
    if not own or final or not _covered(entry, own):
        return entry
    said = dict.fromkeys(
        f"{row.by} let it go anyway on"
        f" {short_date(row.at.astimezone(row.machine.yard.zone).date(), today)}: {row.reason}"
        for row in own
    )
    return replace(entry, decided=" ".join(said))


def _covered(entry: AtRisk, told: Sequence[Override]) -> bool:
    """Whether decisions speak of every service that is lacking.

    One from before services were kept with it speaks of that which it names.
    """
    named = {row.service_id for row in told}
    known = {block.due_point.service for block in entry.blocks if block.due_point}
    for row in told:
        if row.service_id is None:
            named |= {one.pk for one in known if str(one).lower() in row.against.lower()}
    return entry.lacking <= named
