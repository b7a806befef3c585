"""A request that comes twice under one `Idempotency-Key` acts once and hears the same again.

After the Internet draft "The Idempotency-Key HTTP Header Field" (IETF HTTPAPI group), section 2.6:
the same key with another request is refused.  What was refused is not kept: asked again, it is
tried again, since nothing was done.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any

from django.db import IntegrityError, transaction

from fleet.models import ClientKey, KeptAnswer
from fleet.refusal import Refusal

OTHER_REQUEST = "This Idempotency-Key came with another request before; send a new one."

KEPT_FOR = timedelta(days=14)
"""How long an answer is kept: no client tries one request for longer (our judgement)."""

Answer = tuple[int, dict[str, Any]]
"""Status and body."""


def answer_once(
    client: ClientKey, word: str, asked: bytes, act: Callable[[], Answer], now: datetime
) -> Answer:
    """Do an act and keep its answer, both or neither; a repetition gets what was kept.

    word: the Idempotency-Key; "" for none, and then nothing is kept.  asked: the whole request.
    Who comes second while the first is under way waits for it: the row of the word is written
    before the act, in its transaction.
    """
    if not word:
        return act()
    digest = sha256(asked).hexdigest()
    with transaction.atomic():
        try:
            with transaction.atomic():
                kept = KeptAnswer.objects.create(client=client, word=word, asked=digest, at=now)
        except IntegrityError:
            return _again(client, word, digest)
        kept.status, kept.body = act()
        kept.save(update_fields=["status", "body"])
        return kept.status, kept.body


def forget_answers(now: datetime) -> int:
    """Forget what was answered so long ago that no client asks again; return how many."""
    forgotten, _ = KeptAnswer.objects.filter(at__lt=now - KEPT_FOR).delete()
    return forgotten


def _again(client: ClientKey, word: str, digest: str) -> Answer:
    kept = KeptAnswer.objects.get(client=client, word=word)
    if kept.asked != digest:
        raise Refusal(OTHER_REQUEST, "Idempotency-Key")
    return kept.status, kept.body
