"""One step of a shop's procedure is said anew, added, moved or taken out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.keep_photos import SmallPhoto
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Person, ServiceStep, StepPicture
from fleet.photo_files import write_photo
from fleet.procedures import LOGGED_FIELDS
from fleet.queries.machines_touched import of_service


@dataclass(frozen=True)
class OwnPicture:
    """A shop's own picture for a step.  photo: None keeps the one there, with other words.

    shows: what is to be seen on it.  digest: SHA-256 of what was sent.
    """

    shows: str
    photo: SmallPhoto | None = None
    digest: str = ""


@transaction.atomic
def keep_step(
    step: ServiceStep, *, by: Person, now: datetime, picture: OwnPicture | None = None
) -> ServiceStep:
    """Keep a step at its position; those from there on move one down.

    picture: one that it shows from now on.  Work that is done keeps the text that it was done by,
    and its pictures.
    """
    if picture is not None:
        step.picture = _keep_picture(picture, step.picture, by, now)
    stood = ServiceStep.objects.filter(pk=step.pk).first() if step.pk else None
    before = values_of(stood, LOGGED_FIELDS) if stood else {}
    others = list(step.service.steps.exclude(pk=step.pk).order_by("position", "pk"))
    at = max(1, min(step.position or len(others) + 1, len(others) + 1))
    step.position = max((one.position for one in others), default=0) + 1 + len(others)
    step.save()
    number_steps([*others[: at - 1], step, *others[at - 1 :]])
    changed = differences(before, values_of(step, LOGGED_FIELDS))
    if changed:
        act = f"step {'changed' if stood else 'added'}: {step.text[:40]}"
        keep_change(step.service, act, changed, by=by, now=now)
        tell(of_service(step.service))
    return step


def _keep_picture(
    new: OwnPicture, there: StepPicture | None, by: Person, now: datetime
) -> StepPicture | None:
    """Write a picture, the file first; the one that is there already stays as it is."""
    if new.photo is None:
        if there is None or there.shows == new.shows:
            return there
        return StepPicture.objects.create(
            name=there.name, wide=there.wide, high=there.high, digest=there.digest,
            shows=new.shows, by=by, at=now,
        )  # fmt: skip
    if there is not None and (there.digest, there.shows) == (new.digest, new.shows):
        return there
    name = f"{now:%Y/%m}/{uuid4().hex}.jpg"
    write_photo(Path(settings.PHOTOS), name, new.photo.file)
    return StepPicture.objects.create(
        name=name, wide=new.photo.wide, high=new.photo.high, digest=new.digest,
        shows=new.shows, by=by, at=now,
    )  # fmt: skip


@transaction.atomic
def take_out_step(step: ServiceStep, *, by: Person, now: datetime) -> None:
    """Take a step out; the rest move up."""
    service = step.service
    values = differences(values_of(step, LOGGED_FIELDS), {})
    keep_change(service, f"step taken out: {step.text[:40]}", values, by=by, now=now)
    step.delete()
    number_steps(list(service.steps.order_by("position", "pk")))
    tell(of_service(service))


def number_steps(steps: Sequence[ServiceStep]) -> None:
    """Number the steps of one service in this order, from one."""
    start = max((step.position for step in steps), default=0)
    for shift in (start + len(steps), 0):  # two rounds: a number is taken by one step at a time
        for number, step in enumerate(steps, start=1):
            step.position = shift + number
        ServiceStep.objects.bulk_update(steps, ["position"])
