"""A person chooses the language of their pages."""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.logged_words import values_of
from fleet.models import Person, Tongue


@transaction.atomic
def choose_language(person: Person, language: Tongue, *, now: datetime) -> None:
    """Keep the language in which a person reads; the same one again changes nothing."""
    person = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    before = values_of(person, ["language"])
    person.language = language
    changed = differences(before, values_of(person, ["language"]))
    if changed:
        person.save(update_fields=["language"])
        keep_change(person, "changed", changed, by=person, now=now)
