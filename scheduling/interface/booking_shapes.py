"""Bookings as they come in and go out: text that can be shown, days, money as people write it."""

from datetime import date, datetime, time
from decimal import Decimal
from typing import Annotated, Any, Literal

from ninja import Field, Schema
from pydantic import AfterValidator, BeforeValidator

MOST = Decimal("99999999.99")
"""The most that a booking can be worth, by its column."""


def plain_text(text: str) -> str:
    """Return text in one line; refuse what no screen shows and no database takes."""
    plain = " ".join(text.split())
    if not plain.isprintable():
        raise ValueError("That text has characters in it that cannot be shown; leave them out.")
    return plain


def said(text: str) -> str:
    """Refuse a customer that is not named."""
    if not text:
        raise ValueError("Say for whom the machine is.")
    return text


def money(written: object) -> object:
    """Read money as people write it: "1,200" and "$220" are money."""
    if isinstance(written, str):
        return written.strip().lstrip("$").replace(",", "").strip()
    return written


PlainText = Annotated[str, AfterValidator(plain_text)]
Customer = Annotated[str, Field(max_length=120), AfterValidator(plain_text), AfterValidator(said)]
Money = Annotated[
    Decimal, BeforeValidator(money), Field(ge=0, le=MOST, decimal_places=2, allow_inf_nan=False)
]
Hours = Annotated[float, Field(ge=0, le=24, allow_inf_nan=False)]
"""How long a machine is to run a day."""
Clock = Annotated[str, Field(json_schema_extra={"format": "time"}, max_length=20)]
"""A time of day, such as 07:30; empty for the whole day."""
Day = Annotated[str, Field(json_schema_extra={"format": "date"})]


class BookingIn(Schema):
    """A booking to make: of one machine, or of whichever of a class may go and has most left."""

    machine: PlainText = Field("", description="tag of the machine; or say the class")
    class_: PlainText = Field(
        "", alias="class", description="name of the class, in capitals or not"
    )
    yard: PlainText = Field("", description="with a class: only machines that live there")
    first_day: Day
    last_day: Day
    from_time: Clock = ""
    to_time: Clock = ""
    hours_a_day: Hours | None = Field(None, description="how long it is to run; null: as usual")
    customer: Customer = Field(description="or the ranch job")
    value: Money | None = Field(None, description="what it is worth; null: by the day rate, if any")
    reason: PlainText = Field(
        "", max_length=300, description="why it goes out although something stands against it"
    )


class BookingMove(Schema):
    """What is to be otherwise in a booking; what is left out stays."""

    machine: PlainText | None = None
    first_day: Day | None = None
    last_day: Day | None = None
    from_time: Clock | None = Field(None, description="empty: the whole day; null: as it was")
    to_time: Clock | None = None
    hours_a_day: Hours | None = None
    customer: Customer | None = None
    value: Money | None = None
    reason: PlainText = Field("", max_length=300, description="why it is changed")


class CallOff(Schema):
    """Why a booking is called off, if that is to be kept."""

    reason: PlainText = Field("", max_length=300)


class BookingOut(Schema):
    """A booking."""

    id: int
    machine: str
    class_: str = Field(alias="class")
    yard: str
    first_day: date
    last_day: date
    from_time: time | None
    to_time: time | None
    hours_a_day: float | None
    customer: str
    value: Decimal | None
    state: Literal["booked", "out", "back", "called_off"]
    made_at: datetime


class BookingList(Schema):
    """Bookings by their first day; more: whether there are others behind them."""

    bookings: list[BookingOut]
    more: bool


def booking_out(row: Any) -> dict[str, Any]:
    """Return a booking as it goes out; `went` and `came` stand beside it by its query."""
    return {
        "id": row.pk,
        "machine": row.machine.tag,
        "class": row.machine.makeup.machine_class.name,
        "yard": row.machine.yard.name,
        "first_day": row.first_day.isoformat(),
        "last_day": row.last_day.isoformat(),
        "from_time": row.from_time.isoformat() if row.from_time else None,
        "to_time": row.to_time.isoformat() if row.to_time else None,
        "hours_a_day": row.hours_a_day,
        "customer": row.customer,
        "value": None if row.value is None else str(row.value),
        "state": _state(row),
        "made_at": row.made_at.isoformat(),
    }


def _state(row: Any) -> str:
    if row.cancelled_at:
        return "called_off"
    return "back" if row.came else "out" if row.went else "booked"
