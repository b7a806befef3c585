"""Photos are written here, of whatever they are: the file first, then its row."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.conf import settings

from fleet.models import FindingPhoto, HandOverPhoto, Person, WorkPhoto
from fleet.photo_files import small_photo, write_photo
from fleet.refusal import Refusal


@dataclass(frozen=True)
class SmallPhoto:
    """A photo as it is kept: a JPEG without metadata, width and height in pixels."""

    file: bytes
    wide: int
    high: int


Developed = Mapping[str, SmallPhoto]
"""SHA-256 of what was sent -> the photo made of it."""


def developed(sent: Sequence[bytes]) -> Developed:
    """Return photos as they are kept; slow, so it is done before a transaction.

    Raises:
        Refusal: one is none, or too large.

    """
    made = {}
    for one in sent:
        file, (wide, high) = small_photo(one)
        made[sha256(one).hexdigest()] = SmallPhoto(file, wide, high)
    return made


def keep_photos(
    model: type[HandOverPhoto | FindingPhoto | WorkPhoto],
    owner: Mapping[str, Any],
    made: Developed,
    *,
    by: Person,
    now: datetime,
    most: int | None = None,
) -> list[Any]:
    """Keep photos in the caller's transaction; one that is there already is kept once.

    owner: the fields that all of them share, first that which they are of, as in {"finding": row}.
    most: how many it may have in all.  The files are on the disk before their rows are.
    """
    of = dict([next(iter(owner.items()))])
    had = set(model._default_manager.filter(**of, struck_at=None).values_list("digest", flat=True))
    fresh = {digest: found for digest, found in made.items() if digest not in had}
    if most is not None and len(had) + len(fresh) > most:
        raise Refusal(f"A hand-over keeps {most} photos at most.", "photos")
    rows: list[Any] = []
    for digest, photo in fresh.items():
        name = f"{now:%Y/%m}/{uuid4().hex}.jpg"
        write_photo(Path(settings.PHOTOS), name, photo.file)
        row = model(
            **owner, name=name, digest=digest, wide=photo.wide, high=photo.high, by=by, at=now
        )
        row.save()
        rows.append(row)
    return rows
