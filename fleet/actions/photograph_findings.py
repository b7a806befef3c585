"""A photo is kept with what was found."""

from datetime import datetime
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from fleet.actions.note_findings import NewFinding, note_finding
from fleet.models import Finding, FindingPhoto, Person
from fleet.photo_files import small_photo, write_photo


def note_with_photo(new: NewFinding, sent: bytes | None, *, by: Person, now: datetime) -> Finding:
    """Note a finding with its photo; sent twice, both are there once.

    Raises:
        Refusal: the photo is none, or too large; then nothing is noted.

    """
    small = small_photo(sent) if sent else None
    with transaction.atomic():
        finding = note_finding(new, by=by, now=now)
        if sent and small:
            _keep(finding, small, sha256(sent).hexdigest(), by, now)
    return finding


def _keep(
    finding: Finding, small: tuple[bytes, tuple[int, int]], digest: str, by: Person, now: datetime
) -> None:
    """Keep the file, then its row; the file is on the disk before the row is."""
    if FindingPhoto.objects.filter(finding=finding, digest=digest).exists():
        return
    file, (wide, high) = small
    name = f"{now:%Y/%m}/{uuid4().hex}.jpg"
    write_photo(Path(settings.PHOTOS), name, file)
    FindingPhoto.objects.create(
        finding=finding, name=name, wide=wide, high=high, digest=digest, by=by, at=now
    )
