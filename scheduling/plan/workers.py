"""Who works in a shop, on which days how long and with which skills: its own and lent hands."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from django.db.models import Q

from fleet.models import Absence, LentHand, Person, Qualification, Shop, WorkingHours
from scheduling.plan.horizon import ANY_SKILL, Horizon, Worker

LONGEST_DAY = 24.0
"""Hours."""


@dataclass
class Stint:
    """A loan of a hand: days of the horizon, hours on each, skills given (none: their own)."""

    person: int
    here: bool
    days: range
    hours: float
    skills: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class Hand:
    """A person who may work here: key, user name, and what people call them."""

    pk: int
    username: str
    name: str


@dataclass(frozen=True)
class Crew:
    """Who may work in a shop: usual week (weekday -> hours), days away, skills held, loans."""

    people: tuple[Hand, ...] = ()
    week: dict[int, dict[int, float]] = field(default_factory=dict)
    away: dict[int, set[int]] = field(default_factory=dict)
    held: dict[int, list[tuple[str, date | None]]] = field(default_factory=dict)
    stints: tuple[Stint, ...] = ()


def load_workers(shop: Shop, horizon: Horizon) -> list[Worker]:
    """Load all who work in the shop on some day, whatever their role, with five queries."""
    return workers_of(load_crew(shop, horizon), horizon)


def load_crew(shop: Shop, horizon: Horizon) -> Crew:
    """Load what is known of all who may work in the shop, with five queries."""
    stints = _stints(shop, horizon)
    guests = {stint.person for stint in stints.values() if stint.here}
    rows = Person.objects.filter(Q(shop=shop) | Q(pk__in=guests), is_active=True)
    people = list(rows.order_by("username"))
    own = {person.pk for person in people if person.shop_id == shop.pk}
    everybody = {person.pk for person in people}
    return Crew(
        tuple(Hand(person.pk, person.username, str(person)) for person in people),
        _week(own),
        _absences(everybody, horizon),
        _held(everybody),
        tuple(stints.values()),
    )


def workers_of(crew: Crew, horizon: Horizon) -> list[Worker]:
    """Return all who work on some day of the horizon, by user name."""
    guests = {stint.person for stint in crew.stints if stint.here}
    taken = {person.username for person in crew.people}
    found: list[Worker] = []
    for person in crew.people:
        mine = [stint for stint in crew.stints if stint.person == person.pk]
        away, held = crew.away.get(person.pk, ()), crew.held.get(person.pk, [])
        hours = _hours(crew.week.get(person.pk, {}), mine, horizon)
        if person.pk in crew.week or person.pk in guests:
            skills = [_skills(held, mine, horizon, d) for d in range(len(hours))]
            found += [_less(one, away) for one in _workers(person, hours, skills, taken)]
    return found


def worker_on(workers: Iterable[Worker], account: str, day: int) -> str | None:
    """Return the name by which the plan calls a person on a day, or None if they do not work."""
    mine = [worker for worker in workers if worker.account == account]
    there = (w for w in mine if 0 <= day < len(w.hours) and w.hours[day] > 0)
    worker = next(there, mine[0] if mine else None)
    return worker.username if worker else None


def _workers(
    person: Hand, hours: list[float], skills: list[frozenset[str]], taken: Collection[str]
) -> list[Worker]:
    """Return one worker for each set of skills that the person works with, days away or not.

    An absence that is tried must not call anybody otherwise: work stands under these names.
    taken: user names, which no worker of somebody else may have.
    """
    sets = list(dict.fromkeys(s for s, h in zip(skills, hours, strict=True) if h > 0))
    found = []
    for number, held in enumerate(sets or skills[:1], start=1):
        name = person.username if number == 1 else _free(f"{person.username}~{number}", taken)
        mine = tuple(h if s == held else 0.0 for s, h in zip(skills, hours, strict=True))
        found.append(Worker(person.pk, name, person.name, held, mine, person.username))
    return found


def _less(worker: Worker, away: Collection[int]) -> Worker:
    """Return a worker who does not work on some days."""
    hours = tuple(0.0 if day in away else long for day, long in enumerate(worker.hours))
    return replace(worker, hours=hours)


def _free(name: str, taken: Collection[str]) -> str:
    """Return a name, longer by as much as keeps it apart from the taken ones."""
    while name in taken:
        name += "~"
    return name


def _stints(shop: Shop, horizon: Horizon) -> dict[int, Stint]:
    """Return loans of hands to this shop, and of its own people to others, by key of the loan."""
    last = horizon.date(horizon.days - 1)
    rows = LentHand.objects.filter(
        Q(shop=shop) | Q(person__shop=shop), first_day__lte=last, last_day__gte=horizon.first
    ).order_by("pk", "skills__name")
    found: dict[int, Stint] = {}
    for pk, person, where, first, end, hours, skill in rows.values_list(
        "pk", "person_id", "shop_id", "first_day", "last_day", "hours", "skills__name"
    ):
        if person is None:
            continue
        days = range(max(horizon.number(first), 0), min(horizon.number(end) + 1, horizon.days))
        stint = found.setdefault(pk, Stint(person, where == shop.pk, days, hours))
        stint.skills.update([skill] if skill else [])
    return found


def _week(people: Collection[int]) -> dict[int, dict[int, float]]:
    week: dict[int, dict[int, float]] = {}
    rows = WorkingHours.objects.filter(person__in=people)
    for pk, weekday, hours in rows.values_list("person_id", "weekday", "hours"):
        week.setdefault(pk, {})[weekday] = hours
    return week


def _absences(people: Collection[int], horizon: Horizon) -> dict[int, set[int]]:
    away: dict[int, set[int]] = {}
    last = horizon.date(horizon.days - 1)
    rows = Absence.objects.filter(
        person__in=people, last_day__gte=horizon.first, first_day__lte=last
    )
    for pk, first, end in rows.values_list("person_id", "first_day", "last_day"):
        low, high = max(horizon.number(first), 0), min(horizon.number(end) + 1, horizon.days)
        away.setdefault(pk, set()).update(range(low, high))
    return away


def _held(people: Collection[int]) -> dict[int, list[tuple[str, date | None]]]:
    """Return skills by person, each with the last day on which it is held."""
    held: dict[int, list[tuple[str, date | None]]] = {}
    rows = Qualification.objects.filter(person__in=people).order_by("skill__name")
    for pk, skill, until in rows.values_list("person_id", "skill__name", "valid_until"):
        held.setdefault(pk, []).append((skill, until))
    return held


def _skills(
    held: list[tuple[str, date | None]], stints: list[Stint], horizon: Horizon, day: int
) -> frozenset[str]:
    """Return what somebody can do on a day: what they are lent for, or what they hold then."""
    given = next((s.skills for s in stints if s.here and day in s.days and s.skills), None)
    if given is not None:
        return frozenset({ANY_SKILL, *given})
    today = horizon.date(day)
    return frozenset({ANY_SKILL, *(name for name, until in held if not until or today <= until)})


def _hours(week: dict[int, float], stints: list[Stint], horizon: Horizon) -> list[float]:
    """Return hours a day: of a loan as agreed, of one's own people by the week and the spell.

    On a day that is open all the same everybody with a week works as long as was said.

    None while the shop is shut or somebody is lent away; never more than it is open, but for a
    spell in which people work longer than usual.
    """
    hours = []
    for day, length in enumerate(horizon.open_hours):
        stint = next((s for s in stints if day in s.days), None)
        if stint is None:
            hours.append(_own_hours(week, horizon, day, length))
        else:
            hours.append(min(stint.hours, length) if stint.here else 0.0)
    return hours


def _own_hours(week: dict[int, float], horizon: Horizon, day: int, length: float) -> float:
    if day in horizon.opened:
        return length if week else 0.0
    usual = min(week.get((horizon.first + timedelta(days=day)).weekday(), 0.0), length)
    return min(round(usual * horizon.share.get(day, 1.0), 4), LONGEST_DAY)
