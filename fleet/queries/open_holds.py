"""Holds that nobody has released, and who may release each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from fleet.models import Hold, Machine, Person, Role, Shop
from fleet.queries.mine import machines_of
from fleet.queries.skills import skills_on
from fleet.saying import without_stop

NOTE_LENGTH = 200
"""Characters of the word on what was put right."""


@dataclass(frozen=True)
class SeenHold:
    """A hold as one person sees it; why_not: why they may not release it, "" where they may."""

    hold: Hold
    why_not: str

    @property
    def who_may(self) -> str:
        """Who may release it, and when."""
        return who_may(self.hold)

    @property
    def must_be_true(self) -> str:
        """What must be true for its release."""
        return must_be_true(self.hold)

    @property
    def note(self) -> str:
        """What was said as its finding was settled: a first word for the note."""
        return self.hold.finding.settled_note if self.hold.finding else ""


def holds_of(person: Person) -> QuerySet[Hold]:
    """Return the holds, released ones too, on the machines that a person may look at."""
    rows = Hold.objects.select_related("machine__yard__shop", "owner", "placed_by", "finding")
    return rows.filter(machine__in=machines_of(person))


def open_holds(person: Person, shop: Shop | None, now: datetime) -> list[SeenHold]:
    """Return what holds a shop's machines, oldest first: one query, three for a mechanic."""
    rows = Hold.objects.filter(machine__yard__shop=shop, released_at=None, placed_at__lte=now)
    return as_seen_by(person, rows.order_by("placed_at", "pk"), now)


def one_hold(person: Person, pk: int, now: datetime) -> SeenHold:
    """Return one hold as a person sees it."""
    (seen,) = as_seen_by(person, Hold.objects.filter(pk=pk), now)
    return seen


def still_held(machine: Machine) -> Hold | None:
    """Return what holds a machine the longest, if anything does."""
    return Hold.objects.filter(machine=machine, released_at=None).order_by("placed_at").first()


def holds_standing(machine: Machine) -> list[Hold]:
    """Return what holds a machine, oldest first, with what each hangs on; one query."""
    rows = Hold.objects.filter(machine=machine, released_at=None).select_related("finding")
    return list(rows.order_by("placed_at", "pk"))


def owners_for(machine: Machine, person: Person) -> QuerySet[Person]:
    """Return who may decide over a hold: the people of the machine's shop, those of all, and one.

    person: who fills the form in, or decides now.
    """
    ours = Q(shop=machine.yard.shop_id) | Q(shop=None)
    able = Q(is_active=True) & (Q(is_superuser=True) | ~Q(role=""))
    rows = Person.objects.filter((ours & able) | Q(pk=person.pk))
    return rows.order_by("first_name", "username")


def asked_for_release(person: Person, machine: Machine, now: datetime) -> list[SeenHold]:
    """Return what still holds a machine although the finding that it hangs on is settled."""
    rows = Hold.objects.filter(
        machine=machine, released_at=None, finding__settled_at__lte=now, placed_at__lte=now
    )
    return as_seen_by(person, rows.order_by("placed_at", "pk"), now)


def as_seen_by(person: Person, holds: QuerySet[Hold], now: datetime) -> list[SeenHold]:
    """Return holds with what keeps a person from releasing them."""
    rows = holds.select_related(
        "machine__makeup__machine_class", "machine__yard__shop", "placed_by", "owner",
        "finding__skill",
    )  # fmt: skip
    return seen_by(person, list(rows), now)


def seen_by(person: Person, rows: Sequence[Hold], now: datetime) -> list[SeenHold]:
    """Return holds that are loaded; two queries for a mechanic who meets one for safety."""
    skilled = person.role == Role.MECHANIC and any(hold.for_safety for hold in rows)
    day = now.date()
    if rows:
        day = now.astimezone(rows[0].machine.yard.zone).date()
    skills = skills_on([person], day)[person.pk] if skilled else set()
    return [SeenHold(hold, _why_not(hold, person, skills)) for hold in rows]


def _why_not(hold: Hold, person: Person, skills: set[int]) -> str:
    """Return why a person may not release a hold; skills: keys of those that they hold today."""
    if not hold.for_safety:
        return "" if person.manages or person == hold.decided_by else f"{who_may(hold)}."
    finding = hold.finding
    if finding is not None and finding.settled_at is None:
        return "First what was found has to be put right: finish its repair at the bench."
    at_home = person.only_shop_id in (None, hold.machine.yard.shop_id)
    skill = finding.skill_id if finding else None
    able = person.role == Role.MECHANIC and at_home and (skill is None or skill in skills)
    return "" if person.manages or able else f"{who_may(hold)}."


def who_may(hold: Hold) -> str:
    """Say who may release a hold, and when, without a full stop."""
    if not hold.for_safety:
        if hold.decided_by.manages:
            return f"{hold.decided_by} or another manager may release it"
        return f"{hold.decided_by} or a manager may release it"
    finding = hold.finding
    skill = f" who holds the skill {finding.skill}" if finding and finding.skill else ""
    when = " once what was found is put right" if finding and finding.settled_at is None else ""
    return f"A mechanic of {hold.machine.yard.shop}{skill} or a manager may release it{when}"


def must_be_true(hold: Hold) -> str:
    """Say what must be true for a hold's release."""
    if hold.condition:
        return f"For its release: {without_stop(hold.condition)}."
    if hold.finding is None:
        return "Nobody said what must be true for its release."
    settled = ", and it is" if hold.finding.settled_at else ""
    return f"For its release: what was found is put right{settled}."
