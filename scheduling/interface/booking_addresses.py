"""Bookings: listed, looked at, made, moved and called off, each act once a word."""

from collections.abc import Callable
from datetime import timedelta

from django.http import HttpRequest
from ninja import Query, Router, Schema
from ninja.responses import Status

from fleet.actions.answer_once import answer_once
from fleet.models import Booking, KeyScope
from fleet.queries.standing_keys import day_of_key
from scheduling.interface import booking_acts
from scheduling.interface.asked import day_written
from scheduling.interface.bearer import KeyWith, caller_of
from scheduling.interface.booking_shapes import (
    BookingIn,
    BookingList,
    BookingMove,
    BookingOut,
    CallOff,
    Day,
    PlainText,
    booking_out,
)
from scheduling.interface.problem_details import PROBLEMS, NotSo
from scheduling.queries.bookings_of_client import (
    BookingsAsked,
    booking_numbered,
    bookings_asked,
)

router = Router(tags=["bookings"], auth=KeyWith(KeyScope.DESK))

HEADER = "Idempotency-Key"
LONGEST_WORD = 200
A_LIST = 100
"""Bookings of one answer."""
AHEAD = timedelta(days=366)

ONCE = {
    "parameters": [
        {
            "in": "header", "name": HEADER, "required": False,
            "schema": {"type": "string", "maxLength": LONGEST_WORD},
            "description": "A word of the client's own, new for each act: sent again with it, the"
            " request acts once and hears the same answer. Needed to book by class.",
        }
    ]
}  # fmt: skip


class Listed(Schema):
    """Which bookings: those that touch some days; today and a year ahead unless said otherwise."""

    first_day: Day = ""
    last_day: Day = ""
    machine: PlainText = ""
    customer: PlainText = ""


@router.get("bookings", response={200: BookingList, **PROBLEMS}, by_alias=True)
def list_bookings(request: HttpRequest, asked: Query[Listed]) -> dict[str, object]:
    """List bookings, by first day; 100 at most."""
    caller = caller_of(request)
    today = day_of_key(caller.key, None, caller.now)
    first = day_written(asked.first_day, "first_day") if asked.first_day else today
    last = day_written(asked.last_day, "last_day") if asked.last_day else today + AHEAD
    wanted = BookingsAsked(first, last, asked.machine, asked.customer)
    rows = bookings_asked(caller.key, wanted, A_LIST + 1)
    return {"bookings": [booking_out(row) for row in rows[:A_LIST]], "more": len(rows) > A_LIST}


@router.get("bookings/{number}", response={200: BookingOut, **PROBLEMS}, by_alias=True)
def one_booking(request: HttpRequest, number: int) -> dict[str, object]:
    """Show one booking."""
    return booking_out(_booking(request, number))


@router.post("bookings", response={201: BookingOut, **PROBLEMS}, by_alias=True, openapi_extra=ONCE)
def make_booking(request: HttpRequest, asked: BookingIn) -> Status:
    """Book a machine, or whichever of a class may go and has most left."""
    caller = caller_of(request)
    if asked.class_ and not _word(request):
        raise NotSo(400, f"Send an {HEADER}: without one a repetition would book twice.", HEADER)
    return _once(request, 201, lambda: booking_acts.make(caller, asked))


@router.patch(
    "bookings/{number}",
    response={200: BookingOut, **PROBLEMS},
    by_alias=True,
    openapi_extra=ONCE,
)
def move_booking(request: HttpRequest, number: int, asked: BookingMove) -> Status:
    """Change a booking's days, machine, customer or value."""
    caller, row = caller_of(request), _booking(request, number)
    return _once(request, 200, lambda: booking_acts.move(caller, row, asked))


@router.post(
    "bookings/{number}/call-off",
    response={200: BookingOut, **PROBLEMS},
    by_alias=True,
    openapi_extra=ONCE,
)
def call_booking_off(request: HttpRequest, number: int, asked: CallOff | None = None) -> Status:
    """Call a booking off; one that is out must come back first."""
    caller, row = caller_of(request), _booking(request, number)
    reason = asked.reason if asked else ""
    return _once(request, 200, lambda: booking_acts.drop(caller, row, reason))


def _booking(request: HttpRequest, number: int) -> Booking:
    row = booking_numbered(caller_of(request).key, number)
    if row is None:
        raise NotSo(404, f"There is no booking {number} here.", "number")
    return row


def _word(request: HttpRequest) -> str:
    """Return the client's word for this act."""
    word = request.headers.get(HEADER, "").strip()
    if len(word) > LONGEST_WORD or not word.isprintable():
        raise NotSo(422, f"An {HEADER} has at most {LONGEST_WORD} characters.", HEADER)
    return word


def _once(request: HttpRequest, status: int, act: Callable[[], Booking]) -> Status:
    """Act once a word, and show the booking as it is then."""
    caller = caller_of(request)

    def done() -> tuple[int, dict[str, object]]:
        return status, booking_out(_booking(request, act().pk))

    asked = f"{request.method} {request.path}\n".encode() + request.body
    return Status(*answer_once(caller.key, _word(request), asked, done, caller.now))
