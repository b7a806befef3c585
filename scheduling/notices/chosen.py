"""What becomes of a letter as its reader chose: sent, put off, kept here, told in the morning."""

from dataclasses import dataclass
from datetime import datetime
from html import escape
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils.translation import override

from fleet.models import Person
from fleet.saying import counted, short_date
from fleet.tongues.phrase_book import spoken
from scheduling.models import LetterChoice, LetterHours, Notice, OutboxEntry
from scheduling.notices.causes import CAUSE_FIELDS, cause_of_day
from scheduling.notices.letter import language_for, write
from scheduling.notices.posting import NewNotice, put
from scheduling.notices.wishes import How, Wish, goes_at, may_be_off
from scheduling.outbox.entries import finish, put_off


@dataclass(frozen=True)
class Chosen:
    """What a person wants for a kind of letter, and who gets it in their place."""

    wish: Wish
    instead: Person | None = None


def chosen(person: Person, kind: str) -> Chosen:
    """Return what a person chose for a kind; two queries."""
    row = LetterChoice.objects.filter(person=person, kind=kind).select_related("instead").first()
    hours = LetterHours.objects.filter(person=person).first()
    given: dict[str, Any] = {"how": row.how if row else How.AT_ONCE}
    if hours:
        given |= {
            "morning_at": hours.morning_at,
            "quiet_from": hours.quiet_from,
            "quiet_to": hours.quiet_to,
        }
    instead = row.instead if row and row.instead and row.instead.is_active else None
    return Chosen(Wish(**given), instead if instead and instead.email else None)


def as_chosen(entry: OutboxEntry, notice: Notice, choice: Chosen, now: datetime) -> bool | None:
    """Do what a letter's reader chose; None: it is to be sent now, else whether it is settled."""
    wish = choice.wish
    if notice.told_in_id or notice.kept_here_at:
        return finish(entry, now)
    if wish.how == How.NOT and may_be_off(notice.kind):
        with transaction.atomic():
            Notice.objects.filter(pk=notice.pk).update(kept_here_at=now)
            return finish(entry, now)
    goes = goes_at(notice.kind, wish, notice.made_at, now, notice.shop.zone)
    if goes > now:
        return put_off(entry, goes)
    if wish.how == How.MORNING and may_be_off(notice.kind):
        return _gather(entry, notice, now)
    return None


def _gather(entry: OutboxEntry, notice: Notice, now: datetime) -> bool | None:
    """Tell all that waited for a person's morning in one letter; None: it waits alone."""
    kinds = LetterChoice.objects.filter(person=notice.person_id, how=How.MORNING).values("kind")
    with transaction.atomic():
        waiting = list(
            Notice.objects.select_for_update(no_key=True).filter(
                person=notice.person_id, shop=notice.shop_id, kind__in=kinds, sent_at=None,
                failed_at=None, kept_here_at=None, over_at=None,
            ).order_by("made_at", "pk")
        )  # fmt: skip
        if len(waiting) < 2:
            return None
        day = now.astimezone(notice.shop.zone).date()
        cause = cause_of_day(Notice.Kind.DIGEST, day)
        same = Notice.objects.filter(**cause.fields(), shop=notice.shop, person=notice.person)
        title = f"{counted(len(waiting), 'letter')} of {short_date(day, day)}"
        parts = [(one.subject, one.text.partition("\n--\n")[0]) for one in waiting]
        whole = write("digest", title, {"parts": parts}, language_for(notice.person))
        new = NewNotice(cause, notice.person, notice.shop, whole, round=same.count())
        made = put(new, now)
        pks = [one.pk for one in waiting]
        Notice.objects.filter(pk__in=pks).update(kept_here_at=now, told_in=made)
        return finish(entry, now)


def told_to_them(entry: OutboxEntry, notice: Notice, instead: Person, now: datetime) -> bool | None:
    """Settle a redirected letter whose reader gets the same one anyway; None: it is to be sent.

    Told in their own letter of that cause, else in the first that was redirected to them.
    """
    same = Notice.objects.filter(
        **{name: getattr(notice, name) for name in CAUSE_FIELDS},
        shop=notice.shop_id, round=notice.round, text=notice.text, failed_at=None,
    ).exclude(pk=notice.pk)  # fmt: skip
    sent_on = Q(pk__lt=notice.pk) & _sent_on_to(instead, notice.kind)
    own = Q(person=instead) & ~_sent_on_from(instead, notice.kind)
    found = same.filter(own | sent_on, kept_here_at=None).order_by("pk")
    told = found.filter(person=instead).first() or found.first()
    if told is None:
        return None
    with transaction.atomic():
        Notice.objects.filter(pk=notice.pk).update(kept_here_at=now, told_in=told)
        return finish(entry, now)


def _sent_on_to(instead: Person, kind: str) -> Q:
    rows = LetterChoice.objects.filter(instead=instead, kind=kind)
    return Q(person__in=rows.values("person"))


def _sent_on_from(person: Person, kind: str) -> Q:
    rows = LetterChoice.objects.filter(person=person, kind=kind, instead__isnull=False)
    return Q(person__in=rows.values("person"))


def redirected(text: str, person: Person) -> str:
    """Say for whom a redirected letter was written."""
    return f"{_said_for(person)}\n\n{text}"


def redirected_html(html: str, person: Person) -> str:
    """Say the same at the head of the letter in HTML."""
    said = escape(_said_for(person))
    return html.replace("<h1 ", f'<p style="margin:0 0 12px">{said}</p>\n<h1 ', 1)


def _said_for(person: Person) -> str:
    with override(language_for(person)):
        return spoken(f"This letter is for {person}, who has letters of this kind sent to you.")
