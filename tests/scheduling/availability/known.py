"""Unsaved machines and what is known of them: the rule needs no database."""

from datetime import date, timedelta

from fleet.models import Booking, Machine, MachineClass, MakeUp, Service, Shop, Yard
from scheduling.availability.counter_facts import CounterFacts, Days
from scheduling.models import Block, DuePoint, MachineState, State
from tests.factories import TODAY

SHOP = Shop(pk=1, name="Shop")
YARD = Yard(pk=1, name="Yard", shop=SHOP)
QUADS = MakeUp(pk=1, maker="Tarnbeck", model="T1", machine_class=MachineClass(pk=1, name="Quad"))
CLEAR = MachineState(state=State.CLEAR, computed_for=TODAY)
DAYS = Days(date(2026, 3, 5), date(2026, 3, 8))
"""Thursday to Sunday, the usual question; today is Monday 2 March."""


def day(number: int) -> date:
    return TODAY + timedelta(days=number)


def machine(pk: int = 1, **more: object) -> Machine:
    facts = {"tag": f"Q-{pk:02d}", "makeup": QUADS, "yard": YARD, **more}
    return Machine(pk=pk, **facts)


def standing(**more: object) -> CounterFacts:
    facts = {"machine": machine(), "state": CLEAR, **more}
    return CounterFacts(**facts)  # type: ignore[arg-type]


def booking(first: int, last: int, customer: str = "Alder Creek fencing") -> Booking:
    return Booking(pk=7, first_day=day(first), last_day=day(last), customer=customer)


def service(name: str = "Oil service", **more: object) -> Service:
    return Service(pk=3, name=name, **more)


def point(pk: int = 5, **more: object) -> DuePoint:
    facts = {"service": service(), "state": State.CLEAR, **more}
    return DuePoint(pk=pk, **facts)


def block(kind: str, first: int = 0, last: int | None = None, **more: object) -> Block:
    facts = {"due_point": point(), "machine": machine(), "meter_kind": "hours", "past_by": 12.0}
    if "due_point_id" in more:
        facts["due_point"] = point(pk=more.pop("due_point_id"))
    until = None if last is None else day(last)
    return Block(kind=kind, first_day=day(first), last_day=until, **(facts | more))
