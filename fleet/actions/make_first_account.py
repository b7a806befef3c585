"""The first account of an empty site is the owner's; there is no second one made this way."""

from dataclasses import dataclass, field

from django.db import connection, transaction

from fleet.models import Person, Role
from fleet.refusal import Refusal


@dataclass(frozen=True)
class FirstAccount:
    """What the first person typed."""

    username: str
    password: str = field(repr=False)
    email: str = ""


@transaction.atomic
def make_first_account(typed: FirstAccount) -> Person:
    """Make the owner's account, as long as nobody is there yet."""
    if connection.vendor == "postgresql":  # SQLite lets one write at a time as it is
        with connection.cursor() as cursor:
            cursor.execute(f"LOCK TABLE {Person._meta.db_table} IN EXCLUSIVE MODE")
    if Person.objects.exists():
        raise Refusal("There is an account already; sign in with it.")
    person = Person(username=typed.username, email=typed.email, role=Role.OWNER)
    person.set_password(typed.password)
    person.save()
    return person
