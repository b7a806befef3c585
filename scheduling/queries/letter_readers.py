"""Who can get somebody's letters in their place."""

from django.db.models import QuerySet

from fleet.models import Person
from fleet.queries.mine import people_of


def readers_instead_of(person: Person) -> QuerySet[Person]:
    """Return the others of a person's shops who can be written to."""
    return people_of(person).filter(is_active=True).exclude(pk=person.pk).exclude(email="")
