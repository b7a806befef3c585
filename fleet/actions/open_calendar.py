"""Give a person a calendar address, make it anew, take it away."""

from datetime import datetime

from django.db import transaction

from fleet.models import CalendarKey, Person
from fleet.models.calendar_key import new_word


def calendar_key(person: Person, *, now: datetime) -> CalendarKey:
    """Return the person's key, made now if there is none."""
    key, _ = CalendarKey.objects.get_or_create(person=person, defaults={"made_at": now})
    return key


@transaction.atomic
def new_calendar_key(person: Person, *, now: datetime) -> CalendarKey:
    """Make a person's address anew: the one before opens nothing any more."""
    key, _ = CalendarKey.objects.update_or_create(
        person=person, defaults={"word": new_word(), "made_at": now}
    )
    return key


def close_calendar(person: Person) -> bool:
    """Take the address away; whether there was one."""
    return CalendarKey.objects.filter(person=person).delete()[0] > 0
