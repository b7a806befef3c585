"""Cautions, set-ups, skills and service procedures of generic machine kinds, as facts.

Everything from fixtures/procedures.json is marked as invented.
"""

from collections.abc import Mapping
from typing import Any

from fleet.demo.scenario import Scenario
from fleet.demo.write_library import procedure_of
from fleet.models import (
    Caution,
    Limit,
    Service,
    ServiceNeed,
    ServiceStep,
    SetUp,
    Skill,
)


def write_cautions(scenario: Scenario) -> dict[str, Caution]:
    """The cautions; those that are there already are left alone."""
    Caution.objects.bulk_create(
        (
            Caution(code=c["code"], signal=c["signal"], text=c["text"], source=c["source"])
            for c in scenario.cautions
        ),
        ignore_conflicts=True,
    )
    return {caution.code: caution for caution in Caution.objects.all()}


def own_steps(entry: dict[str, Any]) -> list[dict[str, str]]:
    """Return the steps that the shop wrote itself: text, tool, and what else is said of some."""
    if "kind" in entry:
        return []
    return [
        {"text": text, "tool": tool, **(more[0] if more else {})}
        for text, tool, *more in entry.get("steps", ())
    ]


def needs_of(entry: dict[str, Any]) -> Mapping[str, float]:
    """Return what a service takes: what its procedure's steps take, where it has one."""
    procedure = procedure_of(entry)
    return procedure.needs if procedure else entry["needs"]


def _write_service(entry: dict[str, Any], skills: dict[str, Skill]) -> Service:
    service = Service.objects.create(
        code=entry["code"],
        name=entry["name"],
        minutes=entry["minutes"],
        skill=skills[entry["skill"]],
        blocks_rental=entry["blocks_rental"],
        overdue_cost_per_day=entry["overdue_cost_per_day"],
        value=entry["value"],
        invented=True,
        second_minutes=entry.get("second_minutes", 0),
        second_for=entry.get("second_for", ""),
        several_days=entry.get("several_days", False),
    )
    ServiceStep.objects.bulk_create(
        ServiceStep(service=service, position=n, **told)
        for n, told in enumerate(own_steps(entry), start=1)
    )
    ServiceNeed.objects.bulk_create(
        ServiceNeed(service=service, place=place, share=share)
        for place, share in needs_of(entry).items()
    )
    return service


def write_services(scenario: Scenario) -> dict[str, Service]:
    """All services with needs, set-ups and cautions, and the steps and limits of the shop's own."""
    facts = scenario.procedures
    cautions = write_cautions(scenario)
    certified = facts["by_certificate"]
    skills = {name: Skill.objects.get_or_create(name=name)[0] for name in facts["skills"]}
    Skill.objects.filter(name__in=certified).update(by_certificate=True)
    set_ups = {s["name"]: SetUp.objects.create(**s) for s in facts["set_ups"]}
    services = {entry["code"]: _write_service(entry, skills) for entry in facts["services"]}
    for entry in facts["services"]:
        service = services[entry["code"]]
        service.cautions.set(cautions[code] for code in entry["cautions"])
        service.set_ups.set(set_ups[name] for name in entry["set_ups"])
        service.follows.set(services[code] for code in entry.get("follows", ()))
        service.apart_from.add(*(services[code] for code in entry.get("apart_from", ())))
        Limit.objects.bulk_create(
            Limit(
                service=service,
                name=limit["name"],
                unit=limit["unit"],
                low=limit["low"],
                high=limit["high"],
                possible_low=limit.get("possible_low"),
                possible_high=limit.get("possible_high"),
                safety=limit.get("safety", False),
                then=services.get(limit.get("then", "")),
            )
            for limit in entry.get("limits", ())
        )
    return services
