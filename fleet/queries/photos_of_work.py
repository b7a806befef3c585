"""Photos taken at steps of a service: those of an entry, and those that have none yet."""

from datetime import datetime

from django.db.models import F, Max, OuterRef, Q, QuerySet, Subquery

from fleet.models import Machine, Person, ServiceRecord, WorkPhoto
from fleet.queries.mine import machines_of


def work_photos_of(person: Person) -> QuerySet[WorkPhoto]:
    """Return the photos of a person's machines."""
    rows = WorkPhoto.objects.select_related("machine__yard__shop", "service", "by", "struck_by")
    return rows.filter(machine__in=machines_of(person))


def open_photos(machine: Machine) -> QuerySet[WorkPhoto]:
    """Return the photos of a machine whose service has not been written into the book since."""
    written = ServiceRecord.objects.filter(
        machine=OuterRef("machine"), service=OuterRef("service"), corrects=None
    ).order_by("-entered_at")
    last = Subquery(written.values("entered_at")[:1])
    rows = WorkPhoto.objects.filter(machine=machine, struck_at=None).annotate(written_at=last)
    return rows.filter(Q(written_at=None) | Q(at__gt=F("written_at")))


def photos_of_entry(record: ServiceRecord) -> QuerySet[WorkPhoto]:
    """Return the photos that belong to an entry of the book, struck ones too.

    Those of its service since that was written into the book before.  A correction has the photos
    of the entry that was there first.
    """
    if record.service_id is None:
        return WorkPhoto.objects.none()
    first = record
    while first.corrects is not None:
        first = first.corrects
    rows = WorkPhoto.objects.filter(
        machine=record.machine_id, service=record.service_id, at__lte=first.entered_at
    ).select_related("by", "struck_by")
    before = _written_before(first)
    return rows.filter(at__gt=before) if before else rows


def entry_of(photo: WorkPhoto) -> ServiceRecord | None:
    """Return the entry that a photo belongs to, as it stands now; None before it is written."""
    rows = ServiceRecord.objects.filter(
        machine=photo.machine_id, service=photo.service_id, corrects=None
    )
    entry = rows.filter(entered_at__gte=photo.at).order_by("entered_at").first()
    while entry is not None:
        later = ServiceRecord.objects.filter(corrects=entry).first()
        if later is None:
            return entry
        entry = later
    return None


def _written_before(first: ServiceRecord) -> datetime | None:
    same = ServiceRecord.objects.filter(
        machine=first.machine_id, service=first.service_id, corrects=None
    )
    at: datetime | None = same.filter(entered_at__lt=first.entered_at).aggregate(
        at=Max("entered_at")
    )["at"]
    return at
