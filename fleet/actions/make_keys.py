"""Keys of clients are made and revoked here; a key is shown once, and then only its digest kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from secrets import token_urlsafe

from django.db import transaction
from django.db.models import Q

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.models import ClientKey, KeyScope, Person, Shop
from fleet.models.client_keys import digest_of
from fleet.refusal import Refusal

MARK = "evener_"
"""Before every key, so that whoever finds one in a file knows what it opens."""

SEEN_EVERY = timedelta(minutes=5)
"""How far apart uses of a key are written down: a busy client must not write at each question."""


@dataclass(frozen=True)
class NewKey:
    """A key to make; shop None: every shop.  answers: who answers for what comes by it."""

    name: str
    scopes: Sequence[KeyScope]
    shop: Shop | None = None
    answers: Person | None = None
    form_key: str | None = None


@transaction.atomic
def make_key(new: NewKey, *, by: Person | None, now: datetime) -> tuple[ClientKey, str]:
    """Make a key; return its row and the key itself, "" where this form had made it already."""
    if not new.name.strip():
        raise Refusal("Say which client the key is for.", "name")
    if not new.scopes:
        raise Refusal("Say what the key is for.", "scopes")
    if new.form_key and (made := ClientKey.objects.filter(form_key=new.form_key).first()):
        return made, ""
    word = MARK + token_urlsafe(32)
    key = ClientKey.objects.create(
        name=new.name.strip()[:80],
        shop=new.shop,
        scopes=[str(scope) for scope in new.scopes],
        digest=digest_of(word),
        hint=word[: len(MARK) + 5],
        answers=new.answers,
        made_at=now,
        made_by=by,
        form_key=new.form_key,
    )
    said = ChangedValue("for", "", f"{', '.join(key.scopes)}; {key.shop or 'every shop'}")
    keep_change(key, "made", [said], by=by, now=now)
    return key, word


@transaction.atomic
def revoke_key(key: ClientKey, *, by: Person | None, now: datetime) -> ClientKey:
    """Let a key open nothing any more; twice is once."""
    rows = ClientKey.objects.filter(pk=key.pk, revoked_at=None)
    if rows.update(revoked_at=now, revoked_by=by):
        keep_change(key, "revoked", by=by, now=now)
    key.refresh_from_db()
    return key


def note_use(key: ClientKey, now: datetime) -> None:
    """Write down that a key was used, at most every few minutes."""
    stale = Q(last_used_at=None) | Q(last_used_at__lt=now - SEEN_EVERY)
    if key.last_used_at is None or key.last_used_at < now - SEEN_EVERY:
        ClientKey.objects.filter(stale, pk=key.pk).update(last_used_at=now)
