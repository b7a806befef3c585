"""Each press acts once: its key is claimed in the database before, and its answer kept after.

1. The first to write the key acts.  2. Who comes while it acts waits for its answer.  3. Who comes
after gets it.  What was refused leaves no key, since nothing was done: sent again, it is tried
again.  A press that was cut off (a killed process) is never done again by itself: nobody can tell
how far it came, so whoever presses again is told to look.
"""

from datetime import datetime, timedelta
from hashlib import sha256
from time import sleep
from typing import Any

from django.db import IntegrityError, transaction

from fleet.models import Person, Press

KEY_FIELD = "act_key"
LONGEST_KEY = 60
PATIENCE = timedelta(seconds=20)
"""How long a second press waits for the first one's answer."""
GLANCE = 0.05
"""Seconds between two looks."""
KEPT = timedelta(days=30)
"""As long as a page may lie open and be sent again."""


def digest_of(sent: Any) -> str:
    """Return a mark of all that was sent, but for what changes by itself with each form."""
    return sha256(repr(sorted(sent.lists())).encode(errors="replace")).hexdigest()


def claim_press(person: Person, key: str, digest: str, now: datetime) -> tuple[Press | None, bool]:
    """Return the press of a key, and whether it is this one that acts; None: it was cut off.

    Another answer than a change of page (a line drawn anew) holds for the very same again alone.
    """
    for _ in range(int(PATIENCE.total_seconds() / GLANCE)):
        try:
            with transaction.atomic():
                made = Press.objects.create(by=person, key=key, digest=digest, at=now)
            return made, True
        except IntegrityError:
            stood = Press.objects.filter(by=person, key=key).first()
        if stood is None:  # it was refused between the two looks
            continue
        if stood.answered_at is not None:
            if stood.answer["status"] == 200 and stood.digest != digest:
                again = Press.objects.filter(pk=stood.pk, answered_at=stood.answered_at)
                if again.update(digest=digest, answered_at=None, at=now):
                    return stood, True
                continue
            return stood, False
        if now - stood.at > PATIENCE:
            break
        sleep(GLANCE)
    return None, False


def keep_answer(press: Press, answer: dict[str, Any], now: datetime) -> None:
    """Keep what a press was answered, for whoever presses again."""
    Press.objects.filter(pk=press.pk).update(answer=answer, answered_at=now)


def let_go(press: Press) -> None:
    """Forget a press that did nothing."""
    Press.objects.filter(pk=press.pk).delete()


def forget_presses(now: datetime) -> int:
    """Forget what nobody can press again; return how many."""
    return Press.objects.filter(at__lt=now - KEPT).delete()[0]
