"""Sending: one message, one recipient, one row; kept until the mail server has taken it.

What a mail server answers (RFC 5321 section 4.2.1): 4yz may pass, so the entry backs off; 5yz on
the recipient or after the letter itself will not, so it is given up and the manager is told.
"""

import logging
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from fleet.models import HandOver, Person
from scheduling.models import Notice, OutboxEntry
from scheduling.notices.chosen import as_chosen, chosen, told_to_them
from scheduling.notices.mail_server import ServerAnswer, handed_over
from scheduling.notices.message import message
from scheduling.notices.undelivered import tell_managers
from scheduling.outbox.entries import TryAgain, finish, give_up

OVER = "What it warns of was over before it could be sent."
"""Said on the Notices page of a letter that nobody needs any more."""

logger = logging.getLogger(__name__)

LONGEST_TRY = timedelta(days=5)
"""RFC 5321 section 4.5.4.1: the give-up time generally needs to be at least 4 to 5 days."""


def send_owed(entry: OutboxEntry, now: datetime) -> bool:
    """Send the notice of an outbox entry and mark both; raise TryAgain where it has to wait.

    A worker that dies between the server's yes and the mark sends the same Message-ID again; the
    two follow each other without a word to the server between them.
    """
    notice = (
        Notice.objects.select_related("person", "shop").filter(pk=entry.payload["notice"]).first()
    )
    if notice is None or notice.sent_at or notice.failed_at:
        return finish(entry, now)
    if _is_over(notice):
        Notice.objects.filter(pk=notice.pk).update(failed_at=now, error=OVER)
        return finish(entry, now)
    choice = chosen(notice.person, notice.kind)
    settled = as_chosen(entry, notice, choice, now)
    if settled is None and choice.instead:
        settled = told_to_them(entry, notice, choice.instead, now)
    if settled is not None:
        return settled
    refusal = _cannot_go(notice, choice.instead)
    if not refusal:
        with handed_over(message(notice, choice.instead)) as answer:
            if answer.taken:
                return _mark(entry, notice, now)
            refusal = _refusal(notice, answer, now)
    return _fail(entry, notice, now, refusal)


def _mark(entry: OutboxEntry, notice: Notice, now: datetime) -> bool:
    """Mark a letter as sent, at once after the server's yes and before anything else is said."""
    with transaction.atomic():
        Notice.objects.filter(pk=notice.pk).update(sent_at=now, error="")
        return finish(entry, now)


def _is_over(notice: Notice) -> bool:
    """Whether what a notice warns of is gone, or its machine came back, before it could be sent."""
    if notice.kind != Notice.Kind.AT_RISK:
        return False
    back = HandOver.objects.filter(booking=notice.booking_id, direction=HandOver.Direction.BACK)
    return notice.over_at is not None or back.exists()


def _cannot_go(notice: Notice, instead: Person | None) -> str:
    """Return why this person cannot be written to at all, or nothing."""
    person = instead or notice.person
    if not person.is_active:
        return f"{person} is no longer active."
    if not person.email:
        return f"{person} has no e-mail address."
    try:
        validate_email(person.email)
    except ValidationError:
        return f"{person.email!r} is not an e-mail address; correct it in Set-up."
    return ""


def _refusal(notice: Notice, answer: ServerAnswer, now: datetime) -> str:
    """Return why a letter is given up; raise TryAgain where what the server said may pass."""
    if answer.refused:
        return f"{answer.words} It said: {answer.named}"
    return _later(notice, now, answer.named)


def _later(notice: Notice, now: datetime, said: str) -> str:
    if now - notice.made_at > LONGEST_TRY:
        return (
            f"The mail server did not accept it in {LONGEST_TRY.days} days; its last answer: {said}"
        )
    Notice.objects.filter(pk=notice.pk).update(error=f"Waiting; the mail server said: {said}"[:300])
    raise TryAgain(said)


@transaction.atomic
def _fail(entry: OutboxEntry, notice: Notice, now: datetime, why: str) -> bool:
    """Give a notice up and tell the managers, both or neither."""
    Notice.objects.filter(pk=notice.pk).update(failed_at=now, error=why[:300])
    notice.error = why
    if notice.person.is_active:
        tell_managers(notice, now)
    return give_up(entry, now, why)
