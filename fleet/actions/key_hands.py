"""Keys of ranch hands are made, made anew and taken back here, and each use written down."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.hand_words import bare_code, kept_of, new_code, new_link_word
from fleet.models import HandKey, HandKeyKind, HandKeyUse, Person, Role
from fleet.refusal import Refusal


@dataclass(frozen=True)
class Phone:
    """Where a key was used: the address it came from, and the browser as it names itself."""

    address: str | None
    browser: str


@transaction.atomic
def make_hand_key(
    person: Person, kind: HandKeyKind, *, by: Person, now: datetime, form_key: str | None = None
) -> tuple[HandKey, str]:
    """Make a code or a link; return its row and the key itself, "" where this form had made it.

    One that stood opens nothing any more, and phones that signed in have to do it again.
    """
    if person.role != Role.HAND or not person.is_active:
        raise Refusal(f"{person} is no ranch hand who works here; set the role first.")
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    if form_key and (made := HandKey.objects.filter(form_key=form_key).first()):
        return made, ""
    _take_back(person, [kind], by, now)
    word = new_code() if kind == HandKeyKind.CODE else new_link_word()
    digest = kept_of(bare_code(word) if kind == HandKeyKind.CODE else word)
    key = HandKey.objects.create(
        person=person, kind=kind, digest=digest, made_at=now, made_by=by, form_key=form_key
    )
    said = ChangedValue(key.get_kind_display(), "", "made")
    keep_change(person, "given a way to sign in", [said], by=by, now=now)
    return key, word


@transaction.atomic
def revoke_hand_keys(person: Person, *, by: Person, now: datetime) -> int:
    """Let a hand's code and link open nothing any more, and sign their phones out."""
    Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    return _take_back(person, list(HandKeyKind), by, now)


def _take_back(person: Person, kinds: Sequence[HandKeyKind], by: Person, now: datetime) -> int:
    rows = HandKey.objects.filter(person=person, revoked_at=None, kind__in=kinds)
    standing = list(rows)
    if not standing:
        return 0
    keys = [key.pk for key in standing]
    HandKey.objects.filter(pk__in=keys).update(revoked_at=now, revoked_by=by)
    person.set_unusable_password()  # another one by chance: a session that hangs on it is over
    person.save(update_fields=["password"])
    said = [ChangedValue(key.get_kind_display(), "stood", "taken back") for key in standing]
    keep_change(person, "signed out, and keys taken back", said, by=by, now=now)
    return len(standing)


def note_hand_sign_in(key: HandKey, phone: Phone, *, now: datetime) -> HandKeyUse:
    """Write down that a hand signed in."""
    return HandKeyUse.objects.create(
        key=key, at=now, address=phone.address, browser=phone.browser[:200]
    )
