"""The manager's morning summary: what is overdue, held or at risk, and work against hours."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, QuerySet

from fleet.models import Machine, Shop
from fleet.saying import counted, joined, short_date
from scheduling.models import Block, MachineState, Notice, Plan, State
from scheduling.notices.outbox import NewNotice, known, put
from scheduling.notices.people import managers
from scheduling.notices.writing import STATE_OF_BLOCK, Letter, StateMark, link, mark, write
from scheduling.queries.risks import Risk, open_bookings, risks_of
from scheduling.queries.shop_hours import hours_planned, hours_to_work

WEEK = 7
"""Days that the summary looks ahead."""

LONGEST_LIST = 15
"""Lines of one list; the rest stand on the page that the summary links to."""


@dataclass(frozen=True)
class Line:
    """One machine of a list: its mark, its tag and page, its kind, the one thing to know."""

    mark: StateMark
    tag: str
    kind: str
    know: str
    url: str


@dataclass(frozen=True)
class Part:
    """One list of the summary; more: how many lines were left off."""

    title: str
    lines: list[Line]
    more: int


def make_morning(shop: Shop, now: datetime, day: date) -> int:
    """Make the summary of a day for each manager of a shop with machines; return how many."""
    people = {f"morning:{shop.pk}:{day}:{person.pk}": person for person in managers(shop)}
    there = known(list(people))
    fresh = {key: person for key, person in people.items() if key not in there}
    if not fresh or not _states(shop).exists():
        return 0
    letter = write_morning(shop, day)
    kind = Notice.Kind.MORNING
    made = [put(NewNotice(key, kind, person, shop, letter), now) for key, person in fresh.items()]
    return sum(notice is not None for notice in made)


def write_morning(shop: Shop, day: date) -> Letter:
    """Write the summary of one day of a shop."""
    states = _states(shop).select_related("machine__makeup__machine_class")
    soon = open_bookings(shop, day).filter(first_day__lt=day + timedelta(days=WEEK))
    parts = [
        _machines("Overdue", states.filter(state=State.OVERDUE)),
        _machines("Held", states.filter(state=State.HELD)),
        _bookings(risks_of(soon, day), day),
    ]
    sentence = _sentence(*(len(part.lines) + part.more for part in parts))
    return write(
        "morning",
        f"{shop}, {short_date(day, day)}: {sentence}",
        {
            "shop": shop,
            "sentence": sentence,
            "parts": [part for part in parts if part.lines],
            "hours": _hours(shop, day),
            "missing": _missing(shop),
            "yard_url": link("yard"),
            "days_url": link("shop-days"),
        },
    )


def _states(shop: Shop) -> QuerySet[MachineState]:
    """States of the shop's machines, longest due first."""
    return MachineState.objects.filter(machine__yard__shop=shop, machine__retired_on=None).order_by(
        F("next_due").asc(nulls_last=True), "machine__tag"
    )


def _machines(title: str, states: QuerySet[MachineState]) -> Part:
    rows = list(states[:LONGEST_LIST])
    return Part(title, [_line(each) for each in rows], states.count() - len(rows))


def _line(now: MachineState) -> Line:
    return _machine_line(now.machine, now.state, now.headline or now.missing)


def _bookings(risks: list[Risk], day: date) -> Part:
    """One line a booking, with the gravest thing that stands against it."""
    gravest: dict[int, Risk] = {}
    for risk in risks:  # in order of booking, gravest first
        gravest.setdefault(risk.booking.pk, risk)
    lines = [_booking_line(risk, day) for risk in list(gravest.values())[:LONGEST_LIST]]
    return Part("Bookings at risk", lines, len(gravest) - len(lines))


def _booking_line(risk: Risk, day: date) -> Line:
    booking, kind = risk.booking, Block.Kind(risk.block.kind)
    when = "out now" if booking.is_out else short_date(booking.first_day, day)  # type: ignore[attr-defined]
    know = f"{when}, {booking.customer}: {risk.block.sentence}"
    return _machine_line(booking.machine, STATE_OF_BLOCK.get(kind, "coming"), know)


def _machine_line(machine: Machine, state: str, know: str) -> Line:
    kind = f"{machine.makeup.machine_class}, {machine.makeup}"
    return Line(mark(state), machine.tag, kind, know, link("machine", machine.tag))


def _sentence(overdue: int, held: int, at_risk: int) -> str:
    """Return the sentence of the day; what is nought is left out."""
    said = [
        f"{counted(overdue, 'machine')} overdue" if overdue else "",
        f"{held} held" if held and overdue else f"{counted(held, 'machine')} held" if held else "",
        f"{counted(at_risk, 'booking')} at risk this week" if at_risk else "",
    ]
    return joined([words for words in said if words]) or "nothing overdue, held or at risk"


def _hours(shop: Shop, day: date) -> str:
    work = sum(hours_planned(shop, day, WEEK).values())
    room = sum(hours_to_work(shop, day, WEEK).values())
    if not room:
        return (
            f"{work:.0f} h of work planned in the next {WEEK} days; nobody has working hours then."
        )
    over = " More than there is: some of it is overtime or will slip." if work > room else ""
    return f"{work:.0f} h of work planned in the next {WEEK} days, of {room:.0f} h to work.{over}"


def _missing(shop: Shop) -> list[str]:
    """What was lacking last night, in sentences."""
    lacking = _states(shop).exclude(missing="").count()
    verb = "lacks" if lacking == 1 else "lack"
    said = [f"{counted(lacking, 'machine')} {verb} something; Set-up says what."] if lacking else []
    plan = Plan.objects.filter(shop=shop).exclude(missing="").first()
    return [*said, plan.missing] if plan else said
