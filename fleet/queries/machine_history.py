"""All facts of one machine that its page shows: make-up, book, findings, holds, bookings."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q, QuerySet

from fleet.models import (
    Booking,
    Finding,
    FormerTag,
    Hold,
    Machine,
    Meter,
    Reading,
    ServiceRecord,
)
from fleet.queries.answered_steps import count_answers
from fleet.queries.last_measured import MeasuredQuantity, measured_quantities
from fleet.queries.standing_readings import last_readings

SHOWN = 20
"""Rows of the book that the page shows before somebody asks for all."""
BOOKINGS = 8
"""Bookings that it shows before that."""


@dataclass(frozen=True)
class FittedMeter:
    """A meter of a machine and the last reading of it that stands, if it is still fitted."""

    meter: Meter
    last: Reading | None


@dataclass(frozen=True)
class MachineHistory:
    """The facts of one machine, as lists."""

    meters: Sequence[FittedMeter]
    book: Sequence[ServiceRecord]
    book_length: int
    findings: Sequence[Finding]
    holds: Sequence[Hold]
    bookings: Sequence[Booking]
    former_tags: Sequence[FormerTag] = ()
    measured: Sequence[MeasuredQuantity] = ()

    @property
    def open_findings(self) -> list[Finding]:
        """Findings that nobody has settled."""
        return [finding for finding in self.findings if finding.settled_at is None]

    @property
    def settled_findings(self) -> list[Finding]:
        """Findings that were settled."""
        return [finding for finding in self.findings if finding.settled_at]

    @property
    def open_holds(self) -> list[Hold]:
        """Holds that nobody has released."""
        return [hold for hold in self.holds if hold.released_at is None]

    @property
    def shortened(self) -> bool:
        """Whether the book has more rows than are shown."""
        return self.book_length > len(self.book)


def history(machine: Machine, today: date, whole: bool) -> MachineHistory:
    """Gather a machine's facts with a constant number of queries; whole: all of the book."""
    book = book_of(machine)
    last = last_readings([machine.pk])
    shown = list(book if whole else book[:SHOWN])
    answers = count_answers(shown)
    for record in shown:
        record.answered = answers.get(record.pk, {})
    return MachineHistory(
        meters=[
            FittedMeter(meter, last.get(meter.pk))
            for meter in machine.meters.order_by("kind", "-fitted_at")
        ],
        book=shown,
        book_length=ServiceRecord.objects.filter(machine=machine).count(),
        findings=list(machine.findings.select_related("seen_by", "settled_by", "calls_for")),
        holds=_holds(machine),
        bookings=list(_bookings(machine, today)[: None if whole else BOOKINGS]),
        former_tags=list(machine.former_tags.all()),
        measured=measured_quantities(machine),
    )


def _holds(machine: Machine) -> list[Hold]:
    rows = machine.holds.select_related("placed_by", "released_by", "owner", "finding__skill")
    holds = list(rows)
    for hold in holds:
        hold.machine = machine  # known already: spares what is said of it its queries
    return holds


def book_of(machine: Machine) -> QuerySet[ServiceRecord]:
    """Return the book, newest first, corrected records too, with what was read and measured."""
    return (
        ServiceRecord.objects.filter(machine=machine)
        .select_related("service", "done_by", "corrected_by")
        .prefetch_related("meters__meter", "measurements__limit", "findings")
        .order_by("-done_at", "-pk")
    )


def _bookings(machine: Machine, today: date) -> QuerySet[Booking]:
    """Return bookings, those to come and running first, then the past ones, newest first."""
    stands = Q(hand_overs__struck_at=None)
    gone = Count("hand_overs", filter=stands & Q(hand_overs__direction="out"))
    back = Count("hand_overs", filter=stands & Q(hand_overs__direction="back"))
    return machine.bookings.annotate(gone=gone, back=back, past=Q(last_day__lt=today)).order_by(
        "past", "-first_day"
    )
