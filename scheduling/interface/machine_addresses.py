"""Machines with their states, and what their meters show, sent in once each."""

from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any, Literal

from django.http import HttpRequest
from django.utils.dateparse import parse_datetime
from ninja import Field, Query, Router, Schema
from ninja.responses import Status

from fleet.actions.take_readings import take_reading
from fleet.models import KeyScope, Machine, MeterKind, Source
from fleet.quantities import parse_use, show_use
from fleet.queries.judge_readings import NewReading
from scheduling.interface.asked import class_named, machine_tagged, yard_of_key
from scheduling.interface.bearer import Caller, KeyWith, caller_of
from scheduling.interface.booking_shapes import PlainText
from scheduling.interface.problem_details import PROBLEMS, NotSo
from scheduling.models import State
from scheduling.queries.machines_of_client import MachinesWanted, machines_listed

router = Router(tags=["machines"])

A_LIST = 200
"""Machines of one answer."""
AHEAD = timedelta(minutes=10)
"""How far the clock of a client may go before ours."""
LONGEST_WORD = 200


class MachineOut(Schema):
    """One machine that is not retired, and how it stands."""

    tag: str
    class_: str = Field(alias="class")
    makeup: str
    serial: str
    yard: str
    state: Literal["clear", "coming", "due", "overdue", "held", "unknown"]
    missing: str = Field(description="what is not known of it; empty: nothing")


class MachineList(Schema):
    """Machines by tag; more: whether there are others behind them (`after` the last tag)."""

    machines: list[MachineOut]
    more: bool


class MachinesAsked(Schema):
    """Which machines; what is left out does not narrow."""

    class_: PlainText = Field("", alias="class")
    yard: PlainText = ""
    state: PlainText = ""
    after: PlainText = Field("", description="tags behind this one: the next part of the list")


class ReadingIn(Schema):
    """What a meter showed."""

    machine: PlainText = Field(description="tag of the machine")
    meter: Literal["hours", "distance", "cycles"] = "hours"
    value: PlainText = Field(
        max_length=40,
        description="as the meter shows it; in the yard's unit, or with a unit: 812 h",
    )
    read_at: str = Field(
        json_schema_extra={"format": "date-time"}, description="with its offset (RFC 3339)"
    )
    note: PlainText = Field("", max_length=200)


class ReadingOut(Schema):
    """The reading as it was taken."""

    machine: str
    meter: str
    value: str
    read_at: datetime


@router.get(
    "machines", response={200: MachineList, **PROBLEMS}, by_alias=True, auth=KeyWith(KeyScope.READ)
)
def list_machines(request: HttpRequest, asked: Query[MachinesAsked]) -> dict[str, object]:
    """List machines with their states, by tag; 200 at most."""
    key = caller_of(request).key
    if asked.state and asked.state not in State.values:
        raise NotSo(422, f"A state is one of: {', '.join(State.values)}.", "state")
    kind = class_named(asked.class_) if asked.class_ else None
    wanted = MachinesWanted(kind, yard_of_key(key, asked.yard), asked.state, asked.after)
    found = machines_listed(key, wanted, A_LIST + 1)
    return {"machines": [_out(one) for one in found[:A_LIST]], "more": len(found) > A_LIST}


def _out(machine: Machine) -> dict[str, Any]:
    state: Any = getattr(machine, "now", None)
    return {
        "tag": machine.tag,
        "class": machine.makeup.machine_class.name,
        "makeup": str(machine.makeup),
        "serial": machine.serial,
        "yard": machine.yard.name,
        "state": state.state if state else State.UNKNOWN.value,
        "missing": state.missing if state else "nothing was worked out of it yet",
    }


@router.post("readings", response={201: ReadingOut, **PROBLEMS}, auth=KeyWith(KeyScope.READINGS))
def send_reading(request: HttpRequest, asked: ReadingIn) -> Status:
    """Take what a meter showed; the same reading sent again is the one that is here already.

    One that cannot be right is refused with the reason, and not kept: the client asks a person.
    """
    caller = caller_of(request)
    machine = machine_tagged(caller.key, asked.machine)
    new = NewReading(
        machine=machine,
        kind=asked.meter,
        value=_value(asked, machine),
        read_at=_read_at(asked.read_at, caller),
        source=Source.FEED,
        by=caller.key.answers,
        form_key=_form_key(request, caller),
        note=asked.note,
    )
    row = take_reading(new, caller.now)
    units = machine.yard.units
    return Status(201, {
        "machine": machine.tag,
        "meter": row.meter.kind,
        "value": show_use(row.value, row.meter.kind, units),
        "read_at": row.read_at,
    })  # fmt: skip


def _value(asked: ReadingIn, machine: Machine) -> float:
    try:
        return parse_use(asked.value, MeterKind(asked.meter), machine.yard.units)
    except ValueError as no:
        raise NotSo(422, str(no), "value") from None


def _read_at(written: str, caller: Caller) -> datetime:
    try:
        found = parse_datetime(written.strip())
    except ValueError:
        found = None
    if found is None or found.tzinfo is None or found.year < 1970:
        said = "Write the moment with its offset, such as 2026-03-05T16:30:00Z."
        raise NotSo(422, said, "read_at")
    if found > caller.now + AHEAD:
        raise NotSo(422, "That is in the future; look at the clock of the client.", "read_at")
    return min(found, caller.now)


def _form_key(request: HttpRequest, caller: Caller) -> str:
    """Return the client's word for this act, as the key of a form; "" for none."""
    word = request.headers.get("Idempotency-Key", "").strip()
    if len(word) > LONGEST_WORD or not word.isprintable():
        raise NotSo(422, f"An Idempotency-Key has at most {LONGEST_WORD} characters.", "")
    digest = sha256(f"{caller.key.pk} {word}".encode()).hexdigest()
    return f"key-{digest[:32]}" if word else ""
