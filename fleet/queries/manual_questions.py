"""What of a make-up its manual has to tell, so that the steps of its services say it."""

from dataclasses import dataclass

from fleet.makeup_traits import TRAITS, Trait, codes_in, fits
from fleet.models import Limit, MakeUp, MakeUpFigure, ServiceStep
from fleet.procedures.sized_tools import sizes_asked
from fleet.queries.procedures_taken import services_of_makeup


@dataclass(frozen=True)
class AskedLimit:
    """What is measured on a make-up: the limit of all, and its own where it has one."""

    general: Limit
    own: Limit | None

    @property
    def said(self) -> bool:
        """Whether bounds are known for this make-up."""
        return (self.own or self.general).known


@dataclass(frozen=True)
class ManualQuestions:
    """The questions to the manual of a make-up, those of its build first.

    traits: each with its build, "" where not said.  figures: name -> the figure, or None.
    fluids: places that steps fill and the make-up does not hold.
    """

    makeup: MakeUp
    traits: list[tuple[Trait, str]]
    figures: dict[str, MakeUpFigure | None]
    limits: list[AskedLimit]
    fluids: list[str]

    @property
    def open(self) -> int:
        """How many are not answered yet."""
        unsaid = [said for _, said in self.traits if not said]
        figures = [one for one in self.figures.values() if one is None]
        limits = [one for one in self.limits if not one.said]
        return len(unsaid) + len(figures) + len(limits) + len(self.fluids)


def manual_questions(makeup: MakeUp) -> ManualQuestions:
    """Return what the steps of a make-up's services want to know of it; five queries."""
    services = list(services_of_makeup(makeup).values_list("pk", flat=True))
    steps = list(ServiceStep.objects.filter(service__in=services).order_by("pk"))
    asked = {name for step in steps for name in codes_in(step.only_on)}
    done = [step for step in steps if fits(step.only_on, makeup.traits) is not False]
    figures = {one.name: one for one in makeup.figures.all()}
    fluids = {one.place for one in makeup.fluids.all()}
    names = dict.fromkeys(name for step in done for name in _figures_of(step))
    filled = dict.fromkeys(step.place for step in done if step.kind == ServiceStep.Kind.FILL)
    return ManualQuestions(
        makeup,
        [(trait, makeup.traits.get(name, "")) for name, trait in TRAITS.items() if name in asked],
        {name: figures.get(name) for name in names},
        _limits(makeup, services, {step.measures for step in done}),
        [place for place in filled if place not in fluids],
    )


def _figures_of(step: ServiceStep) -> list[str]:
    """Return the names of what a step wants to know of the manual: its figure, its tools' sizes."""
    return [*filter(None, [step.figure]), *sizes_asked(step.tool)]


def _limits(makeup: MakeUp, services: list[int], wanted: set[str]) -> list[AskedLimit]:
    """Return each thing measured once: several services ask for it with one answer."""
    rows = Limit.objects.filter(service__in=services, makeup__in=[None, makeup.pk]) | (
        Limit.objects.filter(service__in=services, makeup=None)
    )
    rows = rows.filter(name__in=wanted).order_by("name", "pk")
    general: dict[str, Limit] = {}
    own: dict[str, Limit] = {}
    for row in rows:
        (general if row.makeup_id is None else own).setdefault(row.name, row)
    return [AskedLimit(limit, own.get(name)) for name, limit in general.items()]
