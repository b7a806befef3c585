"""A shop takes procedures of the library into its own services."""

from collections.abc import Iterable
from dataclasses import asdict
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import keep_change
from fleet.actions.take_jobs import cautions_called, jobs_called, take_jobs
from fleet.models import (
    LibraryCopy,
    Limit,
    Person,
    Service,
    ServiceNeed,
    ServiceStep,
    Skill,
)
from fleet.procedures.library import ON_OCCASION, LibraryProcedure

QUALIFIED = "inspector"
"""Name of the skill that a procedure asks for which only a qualified person may do."""


@transaction.atomic
def take_procedures(
    chosen: Iterable[LibraryProcedure], *, by: Person | None, now: datetime
) -> list[Service]:
    """Copy procedures into the shop's services; one that was taken before is left as it is."""
    return [service for one in chosen if (service := _take(one, by, now))]


def _take(procedure: LibraryProcedure, by: Person | None, now: datetime) -> Service | None:
    if LibraryCopy.objects.filter(code=procedure.code).exists():
        return None
    skill = None
    if procedure.by_certificate:
        skill, _ = Skill.objects.get_or_create(name=QUALIFIED, defaults={"by_certificate": True})
    service = Service.objects.create(
        code=_free_code(procedure.code), name=procedure.name, minutes=procedure.minutes,
        skill=skill, blocks_rental=procedure.occasion not in ON_OCCASION,
    )  # fmt: skip
    service.cautions.set(cautions_called(procedure.cautions).values())
    ServiceNeed.objects.bulk_create(
        ServiceNeed(service=service, place=place, share=share)
        for place, share in procedure.needs.items()
    )
    take_jobs((one.then for one in procedure.limits), by=by, now=now)
    write_content(service, procedure)
    LibraryCopy.objects.create(
        service=service, code=procedure.code, digest=procedure.digest, body=procedure.body,
        taken_at=now, taken_by=by,
    )  # fmt: skip
    keep_change(service, "taken from the library", by=by, now=now)
    return service


def _free_code(code: str) -> str:
    """Return the library's code, or one beside it where the shop has a service of that code."""
    if not Service.objects.filter(code=code).exists():
        return code
    return f"{code}-{Service.objects.count() + 1}"


def write_content(service: Service, procedure: LibraryProcedure) -> None:
    """Give a service that has none the limits and the steps of a procedure.

    A limit calls for the job that follows it in the library, as far as the shop has that job.
    """
    jobs = jobs_called(one.then for one in procedure.limits)
    Limit.objects.bulk_create(
        Limit(service=service, **{**asdict(one), "then": jobs.get(one.then)})
        for one in procedure.limits
    )
    cautions = cautions_called(step.caution for step in procedure.steps)
    ServiceStep.objects.bulk_create(
        ServiceStep(
            service=service, position=number, caution=cautions.get(step.caution),
            **{name: value for name, value in asdict(step).items() if name != "caution"},
        )
        for number, step in enumerate(procedure.steps, start=1)
    )  # fmt: skip
