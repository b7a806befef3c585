"""A photo is kept with what was found."""

from datetime import datetime

from django.db import transaction

from fleet.actions.keep_photos import developed, keep_photos
from fleet.actions.note_findings import NewFinding, note_finding
from fleet.models import Finding, FindingPhoto, Person


def note_with_photo(new: NewFinding, sent: bytes | None, *, by: Person, now: datetime) -> Finding:
    """Note a finding with its photo; sent twice, both are there once.

    Raises:
        Refusal: the photo is none, or too large; then nothing is noted.

    """
    made = developed([sent]) if sent else {}
    with transaction.atomic():
        finding = note_finding(new, by=by, now=now)
        if made:
            keep_photos(FindingPhoto, {"finding": finding}, made, by=by, now=now)
    return finding
