"""The outbox: a notice is a row before anybody tries to send it, made once for each cause."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import Machine, Person, Shop
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter
from scheduling.outbox.entries import owe

NO_ADDRESS = "{person} has no e-mail address, so this can be read here alone. Enter one in Set-up."


@dataclass(frozen=True)
class NewNotice:
    """A notice to make; cause, person and round make it the same.

    round: how often the same cause had come and gone before.  by_mail False: it stands on the
    Notices page and is not sent.
    """

    cause: NoticeCause
    person: Person
    shop: Shop
    letter: Letter
    machine: Machine | None = None
    round: int = 0
    by_mail: bool = True
    why_not: str = ""


@transaction.atomic
def put(new: NewNotice, now: datetime) -> Notice | None:
    """Keep a notice and owe its sending, both or neither; None where it has been made already."""
    mailed = new.by_mail and bool(new.person.email)
    why_not = "" if mailed else new.why_not or NO_ADDRESS.format(person=new.person)
    notice, made = Notice.objects.get_or_create(
        **new.cause.fields(),
        person=new.person,
        shop=new.shop,
        round=new.round,
        defaults={
            "machine": new.machine,
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


def told(cause: NoticeCause, shop: Shop) -> set[int]:
    """Return the keys of the people of a shop who have had a notice of this cause: one query."""
    rows = Notice.objects.filter(**cause.fields(), shop=shop)
    return set(rows.values_list("person_id", flat=True))
