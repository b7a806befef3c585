"""Photos and charges of a hand-over: added, and struck where they were wrong."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import QuerySet

from fleet.actions.keep_photos import Developed, keep_photos
from fleet.actions.strike_kept import strike
from fleet.models import HandOver, HandOverCharge, HandOverPhoto, Person
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
    row: HandOver, made: Developed, *, says: str, by: Person, now: datetime
) -> list[HandOverPhoto]:
    """Keep photos with a hand-over; one that is there already is kept once.

    The files are on the disk before their rows are.
    """
    with transaction.atomic():
        _stands(row)
        owner = {"hand_over": row, "says": says.strip()}
        return keep_photos(HandOverPhoto, owner, made, by=by, now=now, most=MOST_PHOTOS)


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


def _stands(row: HandOver) -> None:
    """Hold the hand-over; one that was undone or put right keeps nothing new."""
    row = HandOver.every.select_for_update(no_key=True).get(pk=row.pk)
    if row.struck_at is not None:
        raise Refusal("This hand-over was put right or undone; open the one that stands.")


def strike_with(row: HandOver, *, why: str, by: Person, now: datetime) -> None:
    """Strike what is kept with a hand-over that is undone: it never was."""
    for model in (HandOverPhoto, HandOverCharge):
        kept: QuerySet[HandOverPhoto | HandOverCharge] = model.objects.filter(
            hand_over=row, struck_at=None
        )
        for one in kept:
            strike(one, why=why, by=by, now=now)


def extras_follow(old: HandOver, new: HandOver) -> None:
    """Let photos and charges stand with the hand-over that puts theirs right."""
    for model in (HandOverPhoto, HandOverCharge):
        model.objects.filter(hand_over=old).update(hand_over=new)
