"""Photos are kept with the step that asks for them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_photos import developed, keep_photos
from fleet.models import Machine, Person, Service, WorkPhoto


@dataclass(frozen=True)
class PhotoStep:
    """A step that asks for photos: of which service of which machine, its key and its words."""

    machine: Machine
    service: Service
    step: str
    words: str


def photograph_step(
    of: PhotoStep, sent: Sequence[bytes], *, by: Person, now: datetime
) -> list[WorkPhoto]:
    """Keep photos of a step; one of the machine that is there already is kept once.

    Raises:
        Refusal: one is none, or too large; then none is kept.

    """
    made = developed(sent)
    owner = {
        "machine": of.machine, "service": of.service, "step": of.step, "words": of.words[:300],
    }  # fmt: skip
    with transaction.atomic():
        return keep_photos(WorkPhoto, owner, made, by=by, now=now)
