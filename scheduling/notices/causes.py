"""What a notice is made for: its kind and what it is about, as values that outlive a rebuild."""

from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from scheduling.models import Notice
from scheduling.queries.bookings_at_risk import Risk


@dataclass(frozen=True)
class NoticeCause:
    """The cause of a notice; keys of rows, None for what it is not about.

    release: a publishing.  about: a notice that could not be delivered.  block_kind: as what the
    service or hold stands against the booking.  waiting: somebody who waits for a machine.
    """

    kind: str
    day: date | None = None
    booking_id: int | None = None
    service_id: int | None = None
    hold_id: int | None = None
    block_kind: str = ""
    release_id: int | None = None
    about_id: int | None = None
    override_id: int | None = None
    waiting_id: int | None = None

    def fields(self) -> dict[str, Any]:
        """Return it as fields of a notice."""
        return asdict(self)


CAUSE_FIELDS = tuple(NoticeCause.__dataclass_fields__)


def cause_of_day(kind: Notice.Kind, day: date) -> NoticeCause:
    """Return the cause of a letter that each day has once: a summary, a list."""
    return NoticeCause(kind, day=day)


def cause_of_risk(risk: Risk) -> NoticeCause:
    """Return booking, service or hold, and kind of block: what makes a risk the same tomorrow."""
    block = risk.block
    return NoticeCause(
        Notice.Kind.AT_RISK,
        booking_id=risk.booking.pk,
        service_id=block.due_point.service_id if block.due_point else None,
        hold_id=block.hold_id,
        block_kind=block.kind,
    )
