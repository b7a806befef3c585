"""A shop's own procedure as plain values, in the form in which the library says one."""

from dataclasses import fields
from typing import Any

from fleet.models import Service
from fleet.procedures.library import LibraryLimit, LibraryStep, plain_limit, plain_step


def content_of(service: Service) -> dict[str, Any]:
    """Return what a service says now; four queries.  Limits of single make-ups are left out."""
    return {
        "name": service.name,
        "minutes": service.minutes,
        "cautions": sorted(service.cautions.values_list("code", flat=True)),
        "needs": dict(sorted(service.needs.values_list("place", "share"))),
        "steps": [
            plain_step(
                {**_values(step, LibraryStep), "caution": step.caution.code if step.caution else ""}
            )
            for step in service.steps.select_related("caution").order_by("position", "pk")
        ],
        "limits": [
            plain_limit(
                {**_values(limit, LibraryLimit), "then": limit.then.code if limit.then else ""}
            )
            for limit in service.limits.filter(makeup=None).select_related("then").order_by("pk")
        ],
    }


def _values(row: Any, like: type[LibraryStep] | type[LibraryLimit]) -> dict[str, Any]:
    return {one.name: getattr(row, one.name) for one in fields(like)}
