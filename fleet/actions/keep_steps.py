"""One step of a shop's procedure is said anew, added, moved or taken out."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change, values_of
from fleet.changed_facts import tell
from fleet.models import Person, ServiceStep
from fleet.queries.machines_touched import of_service

TOLD = (
    "position", "kind", "text", "tool", "only_on", "caution", "place", "share", "first_share",
    "measures", "figure", "turning_order", "required", "source",
)  # fmt: skip
"""Fields of a step that the change log tells."""


@transaction.atomic
def keep_step(step: ServiceStep, *, by: Person, now: datetime) -> ServiceStep:
    """Keep a step at its position; those from there on move one down.

    Work that is done keeps the text that it was done by.
    """
    stood = ServiceStep.objects.filter(pk=step.pk).first() if step.pk else None
    before = values_of(stood, TOLD) if stood else {}
    others = list(step.service.steps.exclude(pk=step.pk).order_by("position", "pk"))
    at = max(1, min(step.position or len(others) + 1, len(others) + 1))
    step.position = max((one.position for one in others), default=0) + 1 + len(others)
    step.save()
    number_steps([*others[: at - 1], step, *others[at - 1 :]])
    changed = differences(before, values_of(step, TOLD))
    if changed:
        act = f"step {'changed' if stood else 'added'}: {step.text[:40]}"
        keep_change(step.service, act, changed, by=by, now=now)
        tell(of_service(step.service))
    return step


@transaction.atomic
def take_out_step(step: ServiceStep, *, by: Person, now: datetime) -> None:
    """Take a step out; the rest move up."""
    service = step.service
    values = differences(values_of(step, TOLD), {})
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
