"""The jobs that measured values call for, taken into a shop's services with what measures them."""

from collections.abc import Iterable
from datetime import datetime

from fleet.actions.keep_changes import keep_change
from fleet.models import Caution, Person, Service
from fleet.procedures.following_jobs import FollowingJob, following_jobs
from fleet.procedures.library import library_cautions


def take_jobs(codes: Iterable[str], *, by: Person | None, now: datetime) -> None:
    """Make the jobs of these codes that the shop does not have yet; what it has stays as it is."""
    wanted = {code for code in codes if code in following_jobs()}
    there = set(Service.objects.filter(code__in=wanted).values_list("code", flat=True))
    for code in sorted(wanted - there):
        service = _make(following_jobs()[code])
        reason = f"what a measured value calls for; {following_jobs()[code].source}"
        keep_change(service, "taken from the library", by=by, now=now, reason=reason)


def _make(job: FollowingJob) -> Service:
    service = Service.objects.create(code=job.code, name=job.name, minutes=job.minutes)
    service.cautions.set(cautions_called(job.cautions).values())
    return service


def jobs_called(codes: Iterable[str]) -> dict[str, Service]:
    """Return code -> the shop's service of that code, of those that it has."""
    wanted = {code for code in codes if code}
    return {one.code: one for one in Service.objects.filter(code__in=wanted)} if wanted else {}


def cautions_called(codes: Iterable[str]) -> dict[str, Caution]:
    """Return the cautions of codes, those that the shop has not yet written as the library has."""
    wanted = {code for code in codes if code}
    told = library_cautions()
    Caution.objects.bulk_create(
        [Caution(code=code, **told[code]) for code in sorted(wanted) if code in told],
        ignore_conflicts=True,  # what the shop says of a caution stands
    )
    return {row.code: row for row in Caution.objects.filter(code__in=wanted)}
