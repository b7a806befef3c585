"""A step as one machine asks for it: the number of its sump, its limits, its torque in the text.

Pure: rows of a step and of what belongs to the make-up in, values out.  2400 cm³ is 2.54 US qt and
2.4 US qt is 2271 mL (common practice of telling the two apart; the factor is exact, see
`fleet.quantities`).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.utils.text import slugify

from fleet.makeup_traits import fits, open_question
from fleet.models import Caution, Limit, MakeUpFigure, ServiceStep
from fleet.procedures.shown_picture import ShownPicture, picture_at
from fleet.procedures.sized_tools import say_figure, sized
from fleet.quantities import GALLON, QUART, Units
from fleet.saying import capital

BY_THE_MANUAL = "as the manual says"
"""Stands for a number that nobody has put into the make-up yet."""
LITRE = 1000.0
"""Millilitres in a litre."""


@dataclass(frozen=True)
class FilledStep:
    """One step of a procedure on one machine.

    key: the same however often the step is said anew.  kind: of `ServiceStep.Kind`.
    caution: what bites at it.  quantity_ml, first_ml: what is filled in all, and before the run,
    in mL.  limit_id: the row that a measured value is held against; limits and what is possible
    are in `unit`.  places: each measured alone, none where once is enough.  figure: what the
    manual gives, in words.  only_if: what the make-up does not say, and the step hangs on.
    lacks: what of the manual has to be put into the make-up for the step to say it.
    picture: what it shows.
    """

    key: str
    kind: str
    text: str
    caution: Caution | None = None
    quantity_ml: float | None = None
    grade: str = ""
    unit: str = ""
    limit_low: float | None = None
    limit_high: float | None = None
    possible_low: float | None = None
    possible_high: float | None = None
    places: tuple[str, ...] = ()
    required: bool = False
    tool: str = ""
    first_ml: float | None = None
    measures: str = ""
    limit_id: int | None = None
    safety: bool = False
    figure: str = ""
    turning_order: str = ""
    part: str = ""
    source: str = ""
    only_if: str = ""
    lacks: str = ""
    picture: ShownPicture | None = None


@dataclass(frozen=True)
class OnMachine:
    """What of a machine and its make-up goes into its steps.

    traits: trait -> build, its alterations counted.  fluids: place -> capacity in mL and grade.
    parts: place -> number of the part.  figures: by name.  units: of its yard.
    """

    makeup_id: int
    traits: Mapping[str, str] = field(default_factory=dict)
    fluids: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    parts: Mapping[str, str] = field(default_factory=dict)
    figures: Mapping[str, MakeUpFigure] = field(default_factory=dict)
    units: str = Units.US


def show_fill(millilitres: float, units: str) -> str:
    """Show what is filled in, finer than what lies on a shelf: "2.54 qt", "2.40 L", "6.2 gal"."""
    if units == Units.METRIC:
        return f"{millilitres / LITRE:.2f} L" if millilitres < 10 * LITRE else _litres(millilitres)
    if millilitres >= 4 * GALLON:
        return f"{millilitres / GALLON:,.1f} gal"
    return f"{millilitres / QUART:.2f} qt"


def _litres(millilitres: float) -> str:
    return f"{millilitres / LITRE:,.1f} L"


def limits_for(limits: Iterable[Limit], makeup_id: int) -> list[Limit]:
    """Return what is measured on a make-up: its own limit of a name before that of all."""
    general = {one.name: one for one in limits if one.makeup_id is None}
    own = {one.name: one for one in limits if one.makeup_id == makeup_id}
    return [*own.values(), *(one for name, one in general.items() if name not in own)]


def fill_steps(
    steps: Iterable[ServiceStep], limits: Iterable[Limit], machine: OnMachine
) -> list[FilledStep]:
    """Return the steps that are done on a machine, in order, each with the machine's numbers.

    What has to be measured and no step names comes last, as a step of its own.  Of steps that
    follow one another and show the same, the first alone shows it.
    """
    all_steps = list(steps)
    bounds = {one.name: one for one in limits_for(list(limits), machine.makeup_id)}
    wanted = [step for step in all_steps if fits(step.only_on, machine.traits) is not False]
    named = {step.measures for step in all_steps}
    filled = [
        *(_fill(step, bounds.get(step.measures), machine) for step in wanted),
        *(_fill(_measure(limit), limit, machine) for limit in bounds.values()
          if limit.name not in named),
    ]  # fmt: skip
    return list(_each_picture_once(filled))


def _each_picture_once(steps: Iterable[FilledStep]) -> Iterator[FilledStep]:
    before: ShownPicture | None = None
    for step in steps:
        yield replace(step, picture=None) if step.picture == before else step
        before = step.picture


def _measure(limit: Limit) -> ServiceStep:
    """Return the step of a limit that none of the procedure's own steps names."""
    return ServiceStep(
        position=0, key=f"measure-{slugify(limit.name)}"[:60], kind=ServiceStep.Kind.MEASURE,
        text=limit.name, measures=limit.name, source=limit.source,
    )  # fmt: skip


def _fill(step: ServiceStep, limit: Limit | None, machine: OnMachine) -> FilledStep:
    capacity, grade = machine.fluids.get(step.place, (None, ""))
    whole = None if capacity is None else capacity * step.share
    first = None if whole is None or step.first_share is None else whole * step.first_share
    figure = machine.figures.get(step.figure)
    said = "" if figure is None else say_figure(figure)
    only_if = open_question(step.only_on, machine.traits)
    words = {
        "quantity": _volume(whole, machine.units),
        "first": _volume(first, machine.units),
        "rest": _volume(None if first is None or whole is None else whole - first, machine.units),
        "grade": grade or "the right grade",
        "part": machine.parts.get(step.place, "the right part"),
        "figure": said or BY_THE_MANUAL,
    }
    return FilledStep(
        key=step.key or f"step-{step.position}",
        kind=step.kind,
        text=_with_condition(_in_text(step.text, words), only_if),
        caution=step.caution,
        quantity_ml=whole if step.kind == ServiceStep.Kind.FILL else None,
        grade=grade,
        required=step.required,
        tool=sized(step.tool, machine.figures),
        first_ml=first,
        measures=step.measures,
        figure=said,
        turning_order=step.turning_order,
        part=machine.parts.get(step.place, ""),
        source=(limit.source if limit else "") or step.source,
        only_if=only_if,
        lacks=_lacks(step, limit, whole, figure),
        picture=picture_at(step),
        **_of_limit(limit),
    )


def _of_limit(limit: Limit | None) -> dict[str, Any]:
    if limit is None:
        return {}
    return {
        "limit_id": limit.pk,
        "unit": limit.unit,
        "limit_low": limit.low,
        "limit_high": limit.high,
        "possible_low": limit.possible_low,
        "possible_high": limit.possible_high,
        "places": limit.each_place,
        "safety": limit.safety,
    }


def _lacks(
    step: ServiceStep, limit: Limit | None, whole: float | None, figure: MakeUpFigure | None
) -> str:
    """Name what of the manual is not yet in the make-up; "" where nothing lacks."""
    if step.kind == ServiceStep.Kind.FILL and whole is None:
        return step.place
    if step.figure and figure is None:
        return step.figure
    if step.measures and (limit is None or not limit.known):
        return step.measures
    return ""


def _volume(millilitres: float | None, units: str) -> str:
    return BY_THE_MANUAL if millilitres is None else show_fill(millilitres, units)


def _in_text(text: str, words: Mapping[str, str]) -> str:
    """Put words into a text.  Not str.format: a shop may write braces of its own."""
    for name, word in words.items():
        text = text.replace(f"{{{name}}}", word)
    return text


def _with_condition(text: str, only_if: str) -> str:
    return f"If it has {only_if}: {text}" if only_if else capital(text)
