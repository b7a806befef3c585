"""Procedures of the library in the demo's shop, and what the manuals of its make-ups say for them.

The shop has taken them as any shop would, and kept its own names, minutes and costs.  What the
manuals say is invented; it goes into the steps as a real manual's numbers would.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from fleet.actions.take_procedures import take_procedures, write_content
from fleet.demo.scenario import Scenario
from fleet.models import LibraryCopy, Limit, MakeUp, MakeUpFigure, Service
from fleet.procedures.library import (
    ON_OCCASION,
    LibraryProcedure,
    library,
    needs_of_steps,
    procedure_called,
)
from fleet.queries.procedures_taken import services_of_makeup

INVENTED = "invented"
"""Where the demo's numbers come from, as it stands beside them."""


def procedure_of(entry: Mapping[str, Any]) -> LibraryProcedure | None:
    """Return the procedure of the library that a service of the scenario is a copy of.

    One that the shop made up itself, of steps that the library has for a kind of machine, counts
    too.  None: its steps are in the scenario.
    """
    if "library" in entry:
        return procedure_called(entry["library"])
    return _picked(entry) if "kind" in entry else None


def _picked(entry: Mapping[str, Any]) -> LibraryProcedure:
    kind = next(kind for kind in library() if kind.kind == entry["kind"])
    steps = {step.key: step for one in kind.procedures for step in one.steps}
    limits = {limit.name: limit for one in kind.procedures for limit in one.limits}
    chosen = tuple(steps[key] for key in entry["steps"])
    measured = tuple(limits[step.measures] for step in chosen if step.measures)
    return LibraryProcedure(
        entry["code"], entry["name"], "", entry["minutes"], chosen, measured,
        needs=needs_of_steps(chosen),
    )  # fmt: skip


def write_copies(scenario: Scenario, services: Mapping[str, Service], taken_at: datetime) -> None:
    """Give each service that is a copy the library's steps and limits, as it says them now.

    Which of its own services a worn part calls for, each shop says itself.
    """
    for entry in scenario.procedures["services"]:
        procedure = procedure_of(entry)
        if procedure is None:
            continue
        service = services[entry["code"]]
        write_content(service, procedure)
        for name, then in entry.get("then", {}).items():
            service.limits.filter(name=name).update(then=services[then])
        if "library" in entry:
            LibraryCopy.objects.create(
                service=service, code=procedure.code, digest=procedure.digest,
                body=procedure.body, taken_at=taken_at,
            )  # fmt: skip


def take_for_occasions(scenario: Scenario, taken_at: datetime) -> None:
    """Take what is done before hire, at return and around storage, of the demo's kinds."""
    kinds = [
        kind
        for kind in library()
        if {one.code for one in kind.procedures}
        & {entry.get("library") for entry in scenario.procedures["services"]}
    ]
    chosen = [one for kind in kinds for one in kind.procedures if one.occasion in ON_OCCASION]
    take_procedures(chosen, by=None, now=taken_at)


def write_manuals(scenario: Scenario, make_ups: Mapping[str, MakeUp]) -> None:
    """Write build, figures and limits of the make-ups; bounds for each service that measures it."""
    general: dict[int, list[Limit]] = {}
    for limit in Limit.objects.filter(makeup=None).order_by("pk"):
        general.setdefault(limit.service_id, []).append(limit)
    figures, limits = [], []
    for make_up in make_ups.values():
        told = scenario.manuals.get(make_up.model, {})
        make_up.traits = told.get("traits", {})
        make_up.save(update_fields=["traits"])
        figures += [_figure(make_up, *one) for one in told.get("figures", {}).items()]
        on_it = services_of_makeup(make_up).values_list("pk", flat=True)
        measured = [row for pk in sorted(set(on_it)) for row in general.get(pk, ())]
        limits += [
            _own_limit(row, make_up, *told["limits"][row.name])
            for row in measured
            if row.name in told.get("limits", {})
        ]
    MakeUpFigure.objects.bulk_create(figures)
    Limit.objects.bulk_create(limits)


def _figure(make_up: MakeUp, name: str, said: Any) -> MakeUpFigure:
    """Make a figure of words, or of a number with its unit."""
    if isinstance(said, str):
        return MakeUpFigure(makeup=make_up, name=name, words=said, source=INVENTED)
    value, unit = said
    return MakeUpFigure(makeup=make_up, name=name, value=value, unit=unit, source=INVENTED)


OF_ALL = ("service_id", "name", "unit", "possible_low", "possible_high", "places", "safety")


def _own_limit(general: Limit, make_up: MakeUp, low: float | None, high: float | None) -> Limit:
    same = {name: getattr(general, name) for name in (*OF_ALL, "then_id")}
    return Limit(makeup=make_up, low=low, high=high, source=INVENTED, **same)
