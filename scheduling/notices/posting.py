"""The outbox: a notice is a row before anybody tries to send it, made once for each cause."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction

from fleet.models import Machine, Person, Shop
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.causes import NoticeCause
from scheduling.notices.letter import Letter
from scheduling.outbox.entries import owe, owe_all

_SEND = OutboxEntry.Kind.SEND
NO_ADDRESS = "{person} has no e-mail address, so this can be read here alone. Enter one in Set-up."


@dataclass(frozen=True)
class NewNotice:
    """A notice to make; cause, person and round make it the same.

    round: how often the same cause had come and gone before.  by_mail False: it stands on the
    Notices page and is not sent.  tells: keys of the things that it tells.
    """

    cause: NoticeCause
    person: Person
    shop: Shop
    letter: Letter
    machine: Machine | None = None
    round: int = 0
    by_mail: bool = True
    why_not: str = ""
    tells: Sequence[str] = ()

    @property
    def mailed(self) -> bool:
        """Whether it is sent at all."""
        return self.by_mail and bool(self.person.email)

    def same(self) -> dict[str, Any]:
        """Return the fields that make it the same notice."""
        about = {"person": self.person, "shop": self.shop, "round": self.round}
        return self.cause.fields() | about

    def content(self, now: datetime) -> dict[str, Any]:
        """Return its other fields."""
        why_not = "" if self.mailed else self.why_not or NO_ADDRESS.format(person=self.person)
        return {
            "machine": self.machine,
            "subject": self.letter.subject,
            "text": self.letter.text,
            "html": self.letter.html,
            "made_at": now,
            "failed_at": None if self.mailed else now,
            "error": why_not,
            "tells": list(self.tells),
        }


@transaction.atomic
def put(new: NewNotice, now: datetime) -> Notice | None:
    """Keep a notice and owe its sending, both or neither; None where it has been made already."""
    notice, made = Notice.objects.get_or_create(**new.same(), defaults=new.content(now))
    if made and new.mailed:
        owe(_send_key(notice), _SEND, {"notice": notice.pk}, now, now)
    return notice if made else None


def put_all(news: Sequence[NewNotice], now: datetime) -> int:
    """Keep notices that were not made yet, as far as is known; return how many were made."""
    return sum(notice is not None for notice in keep_all(news, now))


def keep_all(news: Sequence[NewNotice], now: datetime) -> list[Notice | None]:
    """Keep notices that were not made yet, as far as is known; None for one that was.

    In as many queries as one takes.  Where somebody else made one of them meanwhile, the database
    says no to all, and they are put one by one.
    """
    try:
        with transaction.atomic():
            rows = [Notice(**new.same(), **new.content(now)) for new in news]
            Notice.objects.bulk_create(rows)
            mailed = [row for row, new in zip(rows, news, strict=True) if new.mailed]
            owe_all({_send_key(row): {"notice": row.pk} for row in mailed}, _SEND, now)
    except IntegrityError:
        return [put(new, now) for new in news]
    return list(rows)


def _send_key(notice: Notice) -> str:
    return f"send:{notice.pk}"


def told(cause: NoticeCause, shop: Shop) -> set[int]:
    """Return the keys of the people of a shop who have had a notice of this cause: one query."""
    rows = Notice.objects.filter(**cause.fields(), shop=shop)
    return set(rows.values_list("person_id", flat=True))
