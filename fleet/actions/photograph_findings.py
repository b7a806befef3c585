"""A photo is kept with what was found."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_photos import Developed, developed, keep_photos
from fleet.actions.note_findings import NewFinding, holds_of, note_finding
from fleet.actions.remember_acts import remember_act
from fleet.models import Act, Finding, FindingPhoto, Hold, Person


def note_with_photo(new: NewFinding, sent: bytes | None, *, by: Person, now: datetime) -> Finding:
    """Note a finding with its photo; sent twice, both are there once, and one press undoes both.

    Raises:
        Refusal: the photo is none, or too large; then nothing is noted.

    """
    made = developed([sent]) if sent else {}
    with transaction.atomic():
        finding = note_finding(new, by=by, now=now)
        if made:
            keep_photos(FindingPhoto, {"finding": finding}, made, by=by, now=now)
        rows: dict[str, list[Finding] | list[Hold]] = {
            "finding": [finding],
            "hold": holds_of(finding),
        }
        words = f"the finding on {new.machine.tag}"
        remember_act(Act.What.FINDING, words, rows, by=by, now=now, machine=new.machine)
    return finding


@transaction.atomic(savepoint=False)
def photograph(findings: Iterable[Finding], made: Developed, *, by: Person, now: datetime) -> None:
    """Keep photos with each of some findings; one that is there already is kept once."""
    for finding in dict.fromkeys(findings):
        keep_photos(FindingPhoto, {"finding": finding}, made, by=by, now=now)
