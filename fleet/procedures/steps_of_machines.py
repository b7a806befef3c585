"""The steps of services on a machine, in as many queries however many services and steps."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.db.models import Prefetch, prefetch_related_objects

from fleet.models import Alteration, Machine, MakeUp, Service, ServiceStep
from fleet.procedures.filled_step import FilledStep, OnMachine, fill_steps

STEP_ROWS = Prefetch(
    "steps", ServiceStep.objects.select_related("caution", "picture").order_by("position", "pk")
)
"""Steps as they are read here; who fetches services beforehand fetches them so."""


def steps_for(machine: Machine, services: Sequence[Service]) -> dict[int, list[FilledStep]]:
    """Return service -> its steps on a machine, in order: seven queries at most.

    machine: with its make-up and its yard.  What was fetched of the make-up, the machine or the
    services beforehand is not fetched again.
    """
    rows = [service for service in services if service is not None]
    if not rows:
        return {}
    prefetch_related_objects(rows, *_lacking(rows, {"steps": STEP_ROWS, "limits": "limits"}))
    fitted = on_machine(machine)
    return {
        service.pk: fill_steps(service.steps.all(), service.limits.all(), fitted)
        for service in rows
    }


def _lacking(rows: Sequence[Service], wanted: dict[str, Prefetch | str]) -> list[Prefetch | str]:
    """Return what not every row has been given yet."""
    return [
        lookup
        for name, lookup in wanted.items()
        if not all(name in getattr(row, "_prefetched_objects_cache", {}) for row in rows)
    ]


def on_machine(machine: Machine) -> OnMachine:
    """Return what of a machine goes into its steps: five queries at most."""
    prefetch_related_objects([machine], *(f"makeup__{name}" for name in OF_MAKEUP), "alterations")
    traits = traits_of_machine(machine)
    return replace(_of_makeup(machine.makeup, machine.yard.units), traits=traits)


OF_MAKEUP = ("fluids", "fitting_parts__part", "figures")


def on_makeup(makeup: MakeUp, units: str) -> OnMachine:
    """Return what of a make-up goes into the steps of a machine that nobody altered: four queries.

    units: in which its quantities are told.
    """
    prefetch_related_objects([makeup], *OF_MAKEUP)
    return _of_makeup(makeup, units)


def _of_makeup(makeup: MakeUp, units: str) -> OnMachine:
    return OnMachine(
        makeup_id=makeup.pk,
        traits=makeup.traits,
        fluids={one.place: (one.capacity_ml, one.grade) for one in makeup.fluids.all()},
        parts={one.place: one.part.number for one in makeup.fitting_parts.all()},
        figures={one.name: one for one in makeup.figures.all()},
        units=units,
    )


def traits_of_machine(machine: Machine) -> dict[str, str]:
    """Return the build of a machine with its make-up; no query once its alterations are fetched."""
    return traits_of(machine.makeup.traits, machine.alterations.all())


def traits_of(traits: dict[str, str], alterations: Iterable[Alteration]) -> dict[str, str]:
    """Return the build of a machine: that of its make-up, changed by what was altered since."""
    in_order = sorted(alterations, key=lambda one: (str(one.fitted_on or ""), one.pk or 0))
    altered = dict(one.build.split(":", 1) for one in in_order if one.build)
    return traits | altered
