"""The manager's morning summary: what is overdue, held or at risk, and work against hours."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from fleet.models import Machine, Shop
from fleet.saying import counted, joined, short_date
from scheduling.models import Notice, Plan, State
from scheduling.notices.addressees import managers
from scheduling.notices.causes import cause_of_day
from scheduling.notices.letter import Letter, StateMark, link, mark, write
from scheduling.notices.posting import NewNotice, put, told
from scheduling.plan.shop_hours import hours_planned, hours_to_work
from scheduling.queries.bookings_at_risk import open_bookings, risks_of, unsettled
from scheduling.queries.fleet_state import in_state, lacking, state_counts, working
from scheduling.queries.overdue_services import Overdue, overdue
from scheduling.queries.risk_advice import AtRisk, at_risk

WEEK = 7
"""Days that the summary looks ahead."""

LONGEST_LIST = 15
"""Lines of one list; the rest stand on the page that the summary links to."""


@dataclass(frozen=True)
class SummaryLine:
    """One machine of a list: its mark, its tag and page, its kind, the one thing to know."""

    mark: StateMark
    tag: str
    kind: str
    know: str
    url: str


@dataclass(frozen=True)
class SummaryPart:
    """One list of the summary; more: how many lines were left off."""

    title: str
    lines: list[SummaryLine]
    more: int


def make_morning(shop: Shop, now: datetime, day: date) -> int:
    """Make the summary of a day for each manager of a shop with machines; return how many."""
    cause = cause_of_day(Notice.Kind.MORNING, day)
    fresh = list(managers(shop).exclude(pk__in=told(cause, shop)))
    if not fresh or not working(Machine.objects.filter(yard__shop=shop)).exists():
        return 0
    letter = write_morning(shop, day)
    made = [put(NewNotice(cause, person, shop, letter), now) for person in fresh]
    return sum(notice is not None for notice in made)


def write_morning(shop: Shop, day: date) -> Letter:
    """Write the summary of one day of a shop; the number of queries is fixed."""
    machines = Machine.objects.filter(yard__shop=shop)
    counts = state_counts(machines)
    soon = open_bookings(shop, day).filter(first_day__lt=day + timedelta(days=WEEK))
    risks = unsettled(risks_of(soon, day))
    bookings = at_risk(risks, day)
    sentence = _sentence(counts[State.OVERDUE], counts[State.HELD], len(bookings))
    parts = [
        _part("Overdue", _overdue(overdue(shop, risks, day), day)),
        _part("Held", [_held(machine) for machine in _in_hold(machines)]),
        _part("Bookings at risk", [_booking(entry, day) for entry in bookings]),
    ]
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


def _part(title: str, lines: list[SummaryLine]) -> SummaryPart:
    return SummaryPart(title, lines[:LONGEST_LIST], max(len(lines) - LONGEST_LIST, 0))


def _overdue(rows: list[Overdue], day: date) -> list[SummaryLine]:
    """One line a machine, with the gravest of its services, worst machine first."""
    gravest: dict[int, Overdue] = {}
    for row in rows:
        gravest.setdefault(row.point.machine_id, row)
    return [
        _line(
            row.machine,
            State.OVERDUE,
            f"{row.point.service} overdue: {row.past}; {_planned(row, day)}",
        )
        for row in gravest.values()
    ]


def _planned(row: Overdue, day: date) -> str:
    if row.planned_day is None:
        return "no shop day yet"
    return f"planned for {short_date(row.planned_day, day)}"


def _in_hold(machines: QuerySet[Machine]) -> QuerySet[Machine]:
    return in_state(working(machines), State.HELD).select_related("now", "makeup__machine_class")


def _held(machine: Machine) -> SummaryLine:
    return _line(machine, State.HELD, machine.now.headline)


def _booking(entry: AtRisk, day: date) -> SummaryLine:
    booking = entry.booking
    when = "out now" if booking.is_out else short_date(booking.first_day, day)  # type: ignore[attr-defined]
    said = f"{when}, {booking.customer}: {entry.said[0]} {entry.what_to_do}".strip()
    return _line(booking.machine, entry.state, said)


def _line(machine: Machine, state: str, know: str) -> SummaryLine:
    kind = f"{machine.makeup.machine_class}, {machine.makeup}"
    return SummaryLine(mark(state), machine.tag, kind, know, link("machine", machine.tag))


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
    lack = lacking(Machine.objects.filter(yard__shop=shop)).count()
    verb = "lacks" if lack == 1 else "lack"
    said = [f"{counted(lack, 'machine')} {verb} something; Set-up says what."] if lack else []
    plan = Plan.objects.filter(shop=shop).exclude(missing="").first()
    return [*said, plan.missing] if plan else said
