"""A person chooses which letters they get, when, and who gets them instead; a reader answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, time

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.models import Person
from fleet.refusal import Refusal
from scheduling.models import LetterChoice, LetterHours, Notice
from scheduling.notices.causes import CAUSE_FIELDS
from scheduling.notices.wishes import may_be_off

How = LetterChoice.How


@dataclass(frozen=True)
class KindChoice:
    """What is chosen for one kind: when, and who gets it instead."""

    how: str = How.AT_ONCE
    instead: Person | None = None

    def __str__(self) -> str:
        said = str(How(self.how).label)
        return f"{said}, to {self.instead}" if self.instead else said


@dataclass(frozen=True)
class Hours:
    """When the morning's letter comes, when none may, and how long a warning may stay open."""

    morning_at: time = time(6)
    quiet_from: time | None = None
    quiet_to: time | None = None
    unanswered_hours: int = 24


@dataclass(frozen=True)
class LetterWishes:
    """All that one person chose, by kind of letter."""

    kinds: Mapping[str, KindChoice] = field(default_factory=dict)
    hours: Hours = field(default_factory=Hours)


def wishes_of(person: Person) -> LetterWishes:
    """Return what a person chose; two queries."""
    rows = LetterChoice.objects.filter(person=person).select_related("instead")
    hours = LetterHours.objects.filter(person=person).first()
    kinds = {row.kind: KindChoice(row.how, row.instead) for row in rows}
    if hours is None:
        return LetterWishes(kinds)
    names = Hours.__dataclass_fields__
    return LetterWishes(kinds, Hours(**{name: getattr(hours, name) for name in names}))


@transaction.atomic
def choose_letters(
    person: Person, wanted: LetterWishes, *, by: Person | None, now: datetime
) -> None:
    """Keep what a person chose; Refusal where a letter on safety would be switched off."""
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    before = wishes_of(person)
    for kind, choice in wanted.kinds.items():
        _refuse_unsafe(person, kind, choice)
        LetterChoice.objects.update_or_create(
            person=person, kind=kind, defaults={"how": choice.how, "instead": choice.instead}
        )
    hours = {name: getattr(wanted.hours, name) for name in Hours.__dataclass_fields__}
    LetterHours.objects.update_or_create(person=person, defaults=hours)
    _keep(person, before, by, now)


@transaction.atomic
def stop_letters(person: Person, kind: str, now: datetime) -> bool:
    """Send a person no more of one kind, as its letter asks; False where it cannot be."""
    if not may_be_off(kind):
        return False
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    before = wishes_of(person)
    LetterChoice.objects.update_or_create(person=person, kind=kind, defaults={"how": How.NOT})
    _keep(person, before, person, now)
    return True


@transaction.atomic
def answer_notice(notice: Notice, now: datetime) -> bool:
    """Take it that a warning is in hand, for all who had it; False where it was said already."""
    first = notice.about if notice.kind == Notice.Kind.UNANSWERED and notice.about else notice
    same = {name: getattr(first, name) for name in CAUSE_FIELDS}
    rows = Notice.objects.filter(**same, shop=first.shop, round=first.round, answered_at=None)
    Notice.objects.filter(about=first, answered_at=None).update(answered_at=now)
    return rows.update(answered_at=now) > 0


def _refuse_unsafe(person: Person, kind: str, choice: KindChoice) -> None:
    if choice.how != How.AT_ONCE and not may_be_off(kind):
        label = Notice.Kind(kind).label
        raise Refusal(f"Letters on “{label}” are for safety: they can go to somebody else.", kind)
    if choice.instead is None:
        return
    if choice.instead.pk == person.pk:
        raise Refusal("Choose somebody else, or nobody.", f"{kind}_to")
    if not (choice.instead.is_active and choice.instead.email):
        raise Refusal(f"{choice.instead} cannot be written to.", f"{kind}_to")


def _keep(person: Person, before: LetterWishes, by: Person | None, now: datetime) -> None:
    changed = differences(_in_words(before), _in_words(wishes_of(person)))
    if changed:
        keep_change(person, "letters chosen", changed, by=by, now=now)


def _in_words(wishes: LetterWishes) -> dict[str, str]:
    kinds = {str(Notice.Kind(kind).label): str(one) for kind, one in wishes.kinds.items()}
    hours = wishes.hours
    quiet = (
        f"{hours.quiet_from:%H:%M} to {hours.quiet_to:%H:%M}"
        if hours.quiet_from and hours.quiet_to
        else ""
    )
    return kinds | {
        "letter of the morning": f"{hours.morning_at:%H:%M}",
        "quiet hours": quiet,
        "hours until a warning is told on": str(hours.unanswered_hours),
    }
