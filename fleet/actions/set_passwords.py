"""Passwords are set here, and people signed out everywhere; the log tells that, never what."""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.models import Person
from fleet.password_links import may_have_link, person_of_link
from fleet.refusal import Refusal

LINK_IS_OVER = "This link has been used, or is older than a day. Ask for another."


@transaction.atomic
def set_password(person: Person, password: str, *, by: Person, now: datetime) -> None:
    """Keep a new password; whoever is signed in with the old one is out."""
    person.set_password(password)
    person.save(update_fields=["password"])
    keep_change(person, "changed", [ChangedValue("password", "", "set")], by=by, now=now)


@transaction.atomic
def take_link(pk: int, token: str, password: str, *, now: datetime) -> Person:
    """Keep the password that a link was opened for; it works once, of two presses too."""
    list(Person.objects.select_for_update(no_key=True).filter(pk=pk))
    person = person_of_link(pk, token)
    if person is None:
        raise Refusal(LINK_IS_OVER)
    set_password(person, password, by=person, now=now)
    return person


@transaction.atomic
def sign_out_everywhere(person: Person, *, by: Person, now: datetime) -> None:
    """End every session of a person, and every link to a new password."""
    row = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    row.signed_out_times += 1
    row.save(update_fields=["signed_out_times"])
    person.signed_out_times = row.signed_out_times
    keep_change(row, "signed out everywhere", by=by, now=now)


@transaction.atomic
def give_link(person: Person, *, by: Person, now: datetime) -> None:
    """Keep in the log that somebody was given a link to a new password."""
    if not may_have_link(person):
        raise Refusal(f"{person} does not sign in with a password, so there is no link to give.")
    keep_change(person, "given a link to a new password", by=by, now=now)
