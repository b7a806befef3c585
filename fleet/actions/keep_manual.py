"""What a make-up's manual says is kept: its build, its figures, its limits."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.makeup_traits import in_a_sentence
from fleet.models import Limit, MakeUp, MakeUpFigure, Person
from fleet.queries.machines_touched import of_makeup
from fleet.queries.procedures_taken import services_of_makeup
from fleet.refusal import Refusal


@dataclass(frozen=True)
class SaidFigure:
    """A figure as the manual says it: a number with its unit, or words."""

    name: str
    value: float | None = None
    unit: str = ""
    words: str = ""
    source: str = ""


@dataclass(frozen=True)
class SaidBounds:
    """Bounds of what is measured, in the unit of its limit."""

    name: str
    low: float | None = None
    high: float | None = None
    source: str = ""


@dataclass(frozen=True)
class SaidByManual:
    """All that was read from a manual at one sitting; what it does not name stays as it is."""

    traits: Mapping[str, str] = field(default_factory=dict)
    figures: Sequence[SaidFigure] = ()
    bounds: Sequence[SaidBounds] = ()


@transaction.atomic
def keep_manual(makeup: MakeUp, said: SaidByManual, *, by: Person, now: datetime) -> int:
    """Keep what a manual says of a make-up; return how much of it is new or other than before."""
    before = _words(makeup)
    makeup.traits = {**makeup.traits, **said.traits}
    makeup.save(update_fields=["traits"])
    for figure in said.figures:
        _keep_figure(makeup, figure)
    for bounds in said.bounds:
        _keep_bounds(makeup, bounds)
    changed = differences(before, _words(makeup))
    if changed:
        keep_change(makeup, "said by its manual", changed, by=by, now=now)
        tell(of_makeup(makeup))
    return len(changed)


def _keep_figure(makeup: MakeUp, said: SaidFigure) -> None:
    values = {"value": said.value, "unit": said.unit, "words": said.words, "source": said.source}
    MakeUpFigure.objects.update_or_create(makeup=makeup, name=said.name, defaults=values)


def _keep_bounds(makeup: MakeUp, said: SaidBounds) -> None:
    """Give each service that measures it this make-up's own bounds."""
    services = services_of_makeup(makeup).values_list("pk", flat=True)
    general = Limit.objects.filter(service__in=list(services), name=said.name, makeup=None)
    for row in general:
        own = Limit.objects.filter(service=row.service_id, name=said.name, makeup=makeup).first()
        limit = own or Limit(makeup=makeup, service_id=row.service_id, name=said.name)
        limit.low, limit.high, limit.source = said.low, said.high, said.source
        for name in ("unit", "possible_low", "possible_high", "places", "safety", "then_id"):
            setattr(limit, name, getattr(row, name))
        _refuse_impossible(limit)
        limit.save()


def _refuse_impossible(limit: Limit) -> None:
    try:
        limit.clean()
    except ValidationError as no:
        raise Refusal(f"{limit.name}: {' '.join(no.messages)}", limit.name) from None
    for bound in (limit.low, limit.high):
        least, most = limit.possible_low, limit.possible_high
        if bound is not None and not _between(bound, least, most):
            raise Refusal(f"{limit.name}: {bound:g} {limit.unit} cannot be.", limit.name)


def _between(value: float, least: float | None, most: float | None) -> bool:
    return (least is None or value >= least) and (most is None or value <= most)


def _words(makeup: MakeUp) -> dict[str, str]:
    """Return what is known from the manual, in words, by its name."""
    figures = MakeUpFigure.objects.filter(makeup=makeup)
    limits = Limit.objects.filter(makeup=makeup).order_by("service_id")
    return {
        "build": in_a_sentence(makeup.traits),
        **{one.name: f"{one} {one.source}".strip() for one in figures},
        **{one.name: _say(one) for one in limits},
    }


def _say(limit: Limit) -> str:
    low = "" if limit.low is None else f"at least {limit.low:g}"
    high = "" if limit.high is None else f"at most {limit.high:g}"
    return f"{' and '.join(filter(None, (low, high)))} {limit.unit} {limit.source}".strip()
