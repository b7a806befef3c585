"""What set-up still lacks, in the order in which a new shop puts it in."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import (
    Interval,
    LentHand,
    Machine,
    MakeUp,
    Meter,
    Person,
    Qualification,
    Reading,
    Role,
    Service,
    Shop,
    WorkingHours,
    Yard,
)
from fleet.queries.kept_imports import left_to_complete
from fleet.saying import short_date


@dataclass(frozen=True)
class SetUpPart:
    """One part of set-up: what it is for, how many there are, and what is missing, if anything.

    page: name of the address of its list; new: of its form for a new one, if it has one.
    """

    title: str
    page: str
    count: int
    purpose: str
    missing: str = ""

    @property
    def new(self) -> str:
        """The address where one is put in; intervals are set on the page of their make-up."""
        return "" if self.page == INTERVALS else f"{self.page}-new"


INTERVALS = "all-intervals"
LAPSING_DAYS = 60
"""Days ahead for which certificates that run out are named."""
NAMED = 5
"""So many are named in one sentence."""


def _named(rows: QuerySet, field: str, most: int = 5) -> str:
    """Name the first few rows, and how many more there are."""
    names = list(rows.values_list(field, flat=True)[: most + 1])
    more = rows.count() - most if len(names) > most else 0
    return ", ".join(map(str, names[:most])) + (f" and {more} more" if more else "")


def _lacking(rows: QuerySet, field: str, sentence: str) -> str:
    """Return the sentence with the rows' names filled in, or nothing if there are none."""
    names = _named(rows, field)
    return sentence.format(names=names) if names else ""


def machines_without_interval() -> QuerySet[Machine]:
    """Return working machines on which no service ever falls due."""
    of_kind = Interval.objects.filter(makeup=OuterRef("makeup"))
    own = Interval.objects.filter(machine=OuterRef("pk"))
    return Machine.objects.filter(~Exists(of_kind), ~Exists(own), retired_on=None)


def machines_without_reading() -> QuerySet[Machine]:
    """Return working machines that carry a meter which has never been read."""
    read = Reading.objects.filter(meter=OuterRef("pk"))
    unread = Meter.objects.filter(~Exists(read), machine=OuterRef("pk"), removed_at=None)
    return Machine.objects.filter(Exists(unread), retired_on=None)


def machines_without_meter() -> QuerySet[Machine]:
    """Return working machines whose make-up has a meter that the machine itself lacks."""
    fitted = Meter.objects.filter(machine=OuterRef("pk"))
    return Machine.objects.filter(~Exists(fitted), makeup__meters__isnull=False, retired_on=None)


def _places() -> list[SetUpPart]:
    shops = Shop.objects.all()
    closed = shops.filter(hours=None)
    alone = shops.filter(yards=None)
    return [
        SetUpPart(
            "Shops",
            "set-up-shops",
            shops.count(),
            "where work is done: time zone, hours, closed days",
            "No shop yet: everything starts with one."
            if not shops.exists()
            else _lacking(closed, "name", "Without opening hours, so never open: {names}."),
        ),
        SetUpPart(
            "Yards",
            "set-up-yards",
            Yard.objects.count(),
            "where machines live, and the way to the shop",
            _lacking(alone, "name", "No yard yet for the shop {names}."),
        ),
    ]


def _people(today: date) -> SetUpPart:
    lent = LentHand.objects.filter(person=OuterRef("pk"))
    people = Person.objects.filter(~Exists(lent) | Q(shop__isnull=False), is_active=True)
    mechanics = people.filter(role=Role.MECHANIC)
    hours = WorkingHours.objects.filter(person=OuterRef("pk"), hours__gt=0)
    idle = mechanics.filter(~Exists(hours))
    working = Shop.objects.filter(people__in=mechanics)
    missing = [
        _lacking(
            Shop.objects.exclude(pk__in=working),
            "name",
            "No mechanic yet for {names}: no work can be planned.",
        ),
        _lacking(idle, "username", "Mechanics without working hours: {names}."),
        _lacking(mechanics.filter(skills=None), "username", "Mechanics without a skill: {names}."),
        _lapsing(people, today),
        _lacking(
            people.filter(shop=None, is_superuser=False).exclude(role=Role.OWNER),
            "username",
            "Belonging to no shop: {names}.",
        ),
        _lacking(
            people.filter(email=""),
            "username",
            "Without an e-mail address, so told on the site alone: {names}.",
        ),
    ]
    return SetUpPart(
        "People",
        "set-up-people",
        people.count(),
        "roles, skills, hours, absences",
        " ".join(filter(None, missing)),
    )


def _lapsing(people: QuerySet[Person], today: date) -> str:
    """Name the certificates that ran out or soon will."""
    rows = Qualification.objects.filter(
        person__in=people, valid_until__lt=today + timedelta(days=LAPSING_DAYS)
    ).select_related("person", "skill")
    said = [
        f"{row.person} ({row.skill}, {short_date(row.valid_until, today)})"
        for row in rows.order_by("valid_until", "pk")[:NAMED]
        if row.valid_until
    ]
    return f"Certificates that ran out or soon will: {', '.join(said)}." if said else ""


def _machines() -> list[SetUpPart]:
    makeups = MakeUp.objects.all()
    machines = Machine.objects.filter(retired_on=None)
    missing = [
        _lacking(machines_without_meter(), "tag", "Without the meter of their make-up: {names}."),
        _lacking(machines_without_reading(), "tag", "With a meter that was never read: {names}."),
        _lacking(
            machines.filter(started_on=None),
            "tag",
            "Start of work unknown, so first services are due at once: {names}.",
        ),
    ]
    return [
        SetUpPart(
            "Make-ups",
            "set-up-make-ups",
            makeups.count(),
            "class, model, meters, fluids, fitting parts",
            "" if makeups.exists() else "No make-up yet: a machine needs one.",
        ),
        SetUpPart(
            "Machines",
            "set-up-machines",
            machines.count(),
            "tag, serial, yard, meters, alterations",
            " ".join(filter(None, missing)) if machines.exists() else "No machine yet.",
        ),
    ]


def _services() -> list[SetUpPart]:
    services = Service.objects.all()
    bare = services.filter(Q(steps=None) | Q(cautions=None)).distinct()
    never = services.filter(intervals=None, called_by_limits=None, covered_in=None)
    unsourced = Service.objects.filter(intervals__source="", invented=False).distinct()
    return [
        SetUpPart(
            "Services",
            "set-up-services",
            services.count(),
            "steps, cautions, parts, limits",
            _lacking(bare, "name", "Without steps or cautions: {names}."),
        ),
        SetUpPart(
            "Intervals",
            INTERVALS,
            Interval.objects.count(),
            "when each service recurs, from the machine's own manual",
            " ".join(
                filter(
                    None,
                    [
                        _lacking(
                            machines_without_interval(),
                            "tag",
                            "Machines on which no service ever falls due: {names}.",
                        ),
                        _lacking(
                            never, "name", "Services that never fall due by themselves: {names}."
                        ),
                        _lacking(
                            unsourced, "name", "No page of a manual beside the interval of {names}."
                        ),
                    ],
                )
            ),
        ),
    ]


def parts_of_set_up(today: date) -> list[SetUpPart]:
    """Return every part of set-up with what it lacks; the number of queries is fixed."""
    parts = [*_places(), _people(today), *_machines(), *_services()]
    return _with_what_files_named(parts)


def _with_what_files_named(parts: list[SetUpPart]) -> list[SetUpPart]:
    """Add to each part what was made because a file named it, and is to be completed."""
    names: dict[str, list[str]] = {}
    for one in left_to_complete():
        names.setdefault(SHOWN_UNDER.get(one.model, ""), []).append(one.name)
    found = []
    for part in parts:
        made = names.get(part.page, [])
        more = f" and {len(made) - NAMED} more" if len(made) > NAMED else ""
        said = f"Made with a file and to be completed: {', '.join(made[:NAMED])}{more}."
        missing = f"{part.missing} {said}".strip() if made else part.missing
        found.append(replace(part, missing=missing))
    return found


SHOWN_UNDER = {
    "shop": "set-up-shops",
    "yard": "set-up-yards",
    "machineclass": "set-up-make-ups",
    "makeup": "set-up-make-ups",
    "service": "set-up-services",
    "skill": "set-up-people",
}
"""Models of which files make rows -> the page of the part under which they are told."""
