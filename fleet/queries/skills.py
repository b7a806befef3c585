"""Who holds a skill on a day: certificates run out, and lent hands bring what they can do."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from fleet.models import LentHand, Person, Qualification, Skill


def skills_on(people: Iterable[Person], day: date) -> dict[int, set[int]]:
    """Return keys of the skills that people hold on a day, by person; two queries."""
    pks = [person.pk for person in people]
    held: dict[int, set[int]] = {pk: set() for pk in pks}
    rows = Qualification.objects.filter(person__in=pks)
    for person, skill, until in rows.values_list("person_id", "skill_id", "valid_until"):
        if until is None or day <= until:
            held[person].add(skill)
    lent = LentHand.objects.filter(person__in=pks, first_day__lte=day, last_day__gte=day)
    for owner, given in lent.values_list("person_id", "skills"):
        if owner is not None and given is not None:
            held[owner].add(given)
    return held


def holds(person: Person, skill: Skill, day: date) -> bool:
    """Whether a person holds a skill on a day."""
    return skill.pk in skills_on([person], day)[person.pk]


def why_not_held(person: Person, skill: Skill) -> str:
    """Say why somebody does not hold a skill: never given, or run out."""
    row = Qualification.objects.filter(person=person, skill=skill).first()
    if row is None or row.valid_until is None:
        return f"{person} does not hold the skill {skill}"
    return f"{person}'s certificate for {skill} ran out on {row.valid_until:%-d %b %Y}"


def all_skills() -> QuerySet[Skill]:
    """Return every skill that is set up, by name."""
    return Skill.objects.all()


def names_of_skills(person: Person) -> tuple[str, ...]:
    """Return what a person was given, by name, run out or not."""
    return tuple(person.skills.order_by("name").values_list("name", flat=True))
