"""What the library says anew of a procedure is taken piece by piece, or left; never forced."""

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.actions.keep_steps import number_steps
from fleet.actions.take_jobs import cautions_called, jobs_called, take_jobs
from fleet.changed_facts import tell
from fleet.models import LibraryCopy, Limit, Person, Service, ServiceNeed, ServiceStep
from fleet.procedures.library import procedure_called
from fleet.procedures.offered_changes import HEAD, LIMIT, STEP, OfferedChange, offered_changes
from fleet.procedures.own_content import content_of
from fleet.queries.machines_touched import of_service
from fleet.refusal import Refusal


def changes_offered(copy: LibraryCopy) -> list[OfferedChange]:
    """Return what the library says anew of a copy; nothing where it is the same, or declined."""
    procedure = procedure_called(copy.code)
    if procedure is None or procedure.digest in (copy.digest, copy.declined):
        return []
    return offered_changes(copy.body, content_of(copy.service), procedure.body)


@transaction.atomic
def take_changes(
    copy: LibraryCopy, keys: Collection[str], *, by: Person, now: datetime
) -> list[OfferedChange]:
    """Take those of the library's changes that were ticked; the others are not offered again."""
    copy = (
        LibraryCopy.objects.select_for_update(no_key=True).select_related("service").get(pk=copy.pk)
    )
    procedure = procedure_called(copy.code)
    if procedure is None:
        raise Refusal("The library has no such procedure any more; yours stays as it is.")
    offered = changes_offered(copy)
    taken = [one for one in offered if one.key in keys]
    keys_taken = {one.key for one in taken}
    limits = (one for one in procedure.body["limits"] if f"{LIMIT}:{one['name']}" in keys_taken)
    take_jobs((one.get("then", "") for one in limits), by=by, now=now)
    for change in taken:
        _apply(change, copy.service, procedure.body)
    _in_order(copy.service, [step.key for step in procedure.steps])
    copy.digest, copy.body, copy.declined = procedure.digest, procedure.body, ""
    copy.save(update_fields=["digest", "body", "declined"])
    told = [ChangedValue(one.title, one.own or one.old, one.new) for one in taken]
    if told:
        keep_change(copy.service, "brought up to the library", told, by=by, now=now)
        tell(of_service(copy.service))
    return taken


@transaction.atomic
def decline_changes(copy: LibraryCopy, *, by: Person, now: datetime) -> None:
    """Leave a procedure as the shop has it; the same change is not offered again."""
    procedure = procedure_called(copy.code)
    copy.declined = procedure.digest if procedure else ""
    copy.save(update_fields=["declined"])
    keep_change(copy.service, "left as it is", by=by, now=now, reason="the library's change")


def _apply(change: OfferedChange, service: Service, body: Mapping[str, Any]) -> None:
    kind, name = change.key.split(":", 1)
    apply = {HEAD: _apply_head, STEP: _apply_step}.get(kind, _apply_limit)
    apply(name, service, body)


def _apply_head(name: str, service: Service, body: Mapping[str, Any]) -> None:
    if name == "minutes":
        service.minutes = body["minutes"]
        service.save(update_fields=["minutes"])
    elif name == "cautions":
        service.cautions.set(cautions_called(body["cautions"]).values())
    else:
        service.needs.all().delete()
        rows = [ServiceNeed(service=service, place=k, share=v) for k, v in body["needs"].items()]
        ServiceNeed.objects.bulk_create(rows)


def _apply_step(key: str, service: Service, body: Mapping[str, Any]) -> None:
    told = next((one for one in body["steps"] if one["key"] == key), None)
    if told is None:
        service.steps.filter(key=key).delete()
        return
    caution = cautions_called([told["caution"]]).get(told["caution"])
    values = {"drawing": "", **told, "caution": caution}
    last = max(service.steps.values_list("position", flat=True), default=0)
    ServiceStep.objects.update_or_create(
        service=service, key=key, defaults=values, create_defaults={**values, "position": last + 1}
    )


def _apply_limit(name: str, service: Service, body: Mapping[str, Any]) -> None:
    """Say anew what is measured; what the library dropped stays: values were held against it."""
    told = next((one for one in body["limits"] if one["name"] == name), None)
    if told is None:
        return
    then = jobs_called([told.get("then", "")]).get(told.get("then", ""))
    values = {**told, "then": then}
    Limit.objects.update_or_create(service=service, makeup=None, name=name, defaults=values)
    own = service.limits.filter(name=name, then=None).exclude(makeup=None)
    own.update(then=then)  # a make-up's own bounds call for the same, unless it said otherwise


def _in_order(service: Service, keys: list[str]) -> None:
    """Put steps in the library's order; those of the shop's own stay behind what they followed."""
    place = {key: number for number, key in enumerate(keys)}
    rows, after = [], 0.0
    for step in service.steps.order_by("position", "pk"):
        after = float(place[step.key]) if step.key in place else after + 0.001
        rows.append((after, step))
    rows.sort(key=lambda one: one[0])
    number_steps([step for _, step in rows])
