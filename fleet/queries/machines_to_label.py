"""Which machines get a label: those in use, narrowed by yard, class or tag."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from fleet.models import Machine, MachineClass, Person, Yard
from fleet.queries.mine import machines_of


@dataclass(frozen=True)
class LabelChoice:
    """What was chosen; what is left out does not narrow."""

    yard: Yard | None = None
    kind: MachineClass | None = None
    tags: Collection[str] = ()


def machines_to_label(person: Person, choice: LabelChoice) -> QuerySet[Machine]:
    """Return a person's machines in use that fit a choice, by tag."""
    rows = machines_of(person).filter(retired_on=None, merged_into=None)
    if choice.yard:
        rows = rows.filter(yard=choice.yard)
    if choice.kind:
        rows = rows.filter(makeup__machine_class=choice.kind)
    some = Q()
    for tag in choice.tags:
        some |= Q(tag__iexact=tag)
    return rows.filter(some).order_by("tag")


def tags_to_label(person: Person, choice: LabelChoice) -> list[str]:
    """Return the tags of the same machines, in the same order."""
    return list(machines_to_label(person, choice).values_list("tag", flat=True))


def classes_to_label() -> QuerySet[MachineClass]:
    """Return the classes that can be chosen, by name."""
    return MachineClass.objects.order_by("name")


def unknown_tags(person: Person, tags: Collection[str]) -> list[str]:
    """Return the tags that none of a person's machines carries, as they were written."""
    known = {tag.upper() for tag in machines_of(person).values_list("tag", flat=True)}
    return [tag for tag in tags if tag.upper() not in known]
