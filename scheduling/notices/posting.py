"""The outbox: a notice is a row before anybody tries to send it, made once for each cause."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Booking, Machine, Person, Shop
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.letter import Letter
from scheduling.outbox.entries import owe

NO_ADDRESS = "{person} has no e-mail address, so this can be read here alone. Enter one in Set-up."


@dataclass(frozen=True)
class NewNotice:
    """A notice to make.  key: what makes it the same, the cause and the person.

    by_mail False: it stands on the Notices page and is not sent.
    """

    key: str
    kind: Notice.Kind
    person: Person
    shop: Shop
    letter: Letter
    machine: Machine | None = None
    booking: Booking | None = None
    by_mail: bool = True
    why_not: str = ""


@transaction.atomic
def put(new: NewNotice, now: datetime) -> Notice | None:
    """Keep a notice and owe its sending, both or neither; None where that key is there already."""
    mailed = new.by_mail and bool(new.person.email)
    why_not = "" if mailed else new.why_not or NO_ADDRESS.format(person=new.person)
    notice, made = Notice.objects.get_or_create(
        key=new.key,
        defaults={
            "kind": new.kind,
            "person": new.person,
            "shop": new.shop,
            "machine": new.machine,
            "booking": new.booking,
            "subject": new.letter.subject,
            "text": new.letter.text,
            "html": new.letter.html,
            "made_at": now,
            "failed_at": None if mailed else now,
            "error": why_not,
        },
    )
    if made and mailed:
        owe(f"send:{notice.pk}", OutboxEntry.Kind.SEND, {"notice": notice.pk}, now, now)
    return notice if made else None


def known(keys: list[str]) -> set[str]:
    """Return those of the keys under which a notice has been made: one query for all."""
    return set(Notice.objects.filter(key__in=keys).values_list("key", flat=True))
