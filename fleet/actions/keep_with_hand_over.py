"""Photos and charges of a hand-over: added, and struck where they were wrong."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.models import HandOver, HandOverCharge, HandOverPhoto, Person
from fleet.photo_files import small_photo, write_photo
from fleet.refusal import Refusal

MOST_PHOTOS = 24
"""Photos of one hand-over."""


@dataclass(frozen=True)
class NewCharge:
    """What is charged, and how much; form_key: a form sent twice charges once."""

    what: str
    amount: Decimal
    form_key: str | None = None


def add_photos(
    row: HandOver, sent: Sequence[bytes], *, says: str, by: Person, now: datetime
) -> list[HandOverPhoto]:
    """Keep photos with a hand-over; one that is there already is kept once.

    All are looked at before any is kept; the files are on the disk before their rows are.
    """
    made = {sha256(one).hexdigest(): small_photo(one) for one in sent}
    with transaction.atomic():
        _stands(row)
        known = HandOverPhoto.objects.filter(hand_over=row, struck_at=None)
        had = set(known.values_list("digest", flat=True))
        fresh = {digest: found for digest, found in made.items() if digest not in had}
        if len(had) + len(fresh) > MOST_PHOTOS:
            raise Refusal(f"A hand-over keeps {MOST_PHOTOS} photos at most.", "photos")
        rows = []
        for digest, (file, (wide, high)) in fresh.items():
            name = f"{now:%Y/%m}/{uuid4().hex}.jpg"
            write_photo(Path(settings.PHOTOS), name, file)
            one = HandOverPhoto(hand_over=row, name=name, wide=wide, high=high, digest=digest)
            one.says, one.by, one.at = says.strip(), by, now
            one.save()
            rows.append(one)
        return rows


@transaction.atomic
def add_charge(row: HandOver, new: NewCharge, *, by: Person, now: datetime) -> HandOverCharge:
    """Charge something at a hand-over; the same form sent twice is one charge."""
    made = HandOverCharge.objects.filter(form_key=new.form_key) if new.form_key else None
    if made and (found := made.first()):
        return found
    _stands(row)
    if not new.what.strip():
        raise Refusal("Say what it is for.", "what")
    return HandOverCharge.objects.create(
        hand_over=row, what=new.what.strip(), amount=new.amount, form_key=new.form_key,
        by=by, at=now,
    )  # fmt: skip


@transaction.atomic
def strike(row: HandOverPhoto | HandOverCharge, *, why: str, by: Person, now: datetime) -> bool:
    """Strike a photo or a charge that was wrong; it stays on record.  Twice is once."""
    if not why.strip():
        raise Refusal("Say why it is struck.", "why")
    struck = type(row).objects.filter(pk=row.pk, struck_at=None).update(
        struck_at=now, struck_by=by, struck_why=why.strip()[:200]
    )  # fmt: skip
    if struck:
        keep_change(row, "struck", by=by, now=now, reason=why)
    return bool(struck)


def _stands(row: HandOver) -> None:
    """Hold the hand-over; one that was undone or put right keeps nothing new."""
    row = HandOver.every.select_for_update().get(pk=row.pk)
    if row.struck_at is not None:
        raise Refusal("This hand-over was put right or undone; open the one that stands.")


def extras_follow(old: HandOver, new: HandOver) -> None:
    """Let photos and charges stand with the hand-over that puts theirs right."""
    for model in (HandOverPhoto, HandOverCharge):
        model.objects.filter(hand_over=old).update(hand_over=new)
