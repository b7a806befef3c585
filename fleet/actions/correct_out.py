"""The wrong machine was written down at a check-out: the booking and its check-out go to another.

What the check-out brought of the first machine (readings, findings) is struck with it; the meters
of the machine that really went are read on its page, or typed with its return.
"""

from datetime import datetime

from django.db import transaction

from fleet.actions.correct_hand_overs import undo_hand_over
from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_times import save_booking
from fleet.actions.particulars import particulars_of
from fleet.actions.swap_bookings import swap_booking
from fleet.changed_facts import tell
from fleet.models import Booking, HandOver, Machine, Person
from fleet.refusal import Refusal

OUT, BACK = HandOver.Direction.OUT, HandOver.Direction.BACK


@transaction.atomic
def correct_machine_out(
    booking: Booking, machine: Machine, *, why: str, by: Person, now: datetime
) -> Booking:
    """Say that another machine went out on a booking, at the moment and with the walk-round kept.

    Raises:
        Refusal: it is back, the other one was out itself, is held or promised to somebody else.

    """
    lock_machines(sorted({booking.machine_id, machine.pk}))
    made = {row.direction: row for row in booking.hand_overs.all()}
    out = made.get(OUT)
    if out is None or BACK in made:
        raise Refusal("It is back; undo the return and the check-out, then change the machine.")
    if not why.strip():
        raise Refusal("Say why it was another machine.", "reason")
    _refuse_out_itself(machine, out.at)
    undo_hand_over(out, why=why, by=by, now=now)
    booking = swap_booking(booking, machine, reason=why, by=by, now=now)
    row = HandOver.objects.create(
        booking=booking, direction=OUT, at=out.at, by=out.by, walk_round=out.walk_round,
        note=out.note, corrects=out, **particulars_of(out).fields(),
    )  # fmt: skip
    save_booking(booking, [], [row])
    tell({machine.pk})
    return booking


def _refuse_out_itself(machine: Machine, at: datetime) -> None:
    """Refuse a machine that was out with somebody else, or came back, after that moment."""
    handed = HandOver.objects.filter(booking__machine=machine)
    last = handed.order_by("-at").select_related("booking").first()
    if last and (last.direction == OUT or last.at > at):
        raise Refusal(
            f"{machine.tag} was out with {last.booking.customer} then; look at its bookings first.",
            "machine",
        )
