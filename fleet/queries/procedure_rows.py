"""Procedures as rows of a file: each step as it stands, as it reads on each make-up, and before."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import tzinfo
from itertools import groupby

from django.db.models import Prefetch, QuerySet

from fleet.logged_words import values_of
from fleet.models import (
    Limit,
    LoggedChange,
    MakeUp,
    MakeUpFigure,
    Service,
    ServiceStep,
    StepPicture,
)
from fleet.procedures import (
    LOGGED_FIELDS,
    STEP_ROWS,
    FilledStep,
    OnMachine,
    fill_steps,
    limits_for,
    on_makeup,
    show_fill,
)
from fleet.procedures.filled_step import LITRE
from fleet.procedures.shown_picture import picture_at
from fleet.procedures.step_versions import StepVersions, step_versions
from fleet.queries.read_procedure import makeups_of_each
from fleet.queries.step_version_rows import (
    BEFORE,
    GONE,
    FilePlace,
    Told,
    builds_cell,
    earlier_cells,
    loose_cells,
    picture_cells,
    version_cells,
)
from fleet.si_units import in_si
from fleet.table_files import Cell, TableOfCells

STANDS, READS = "as it stands", "as it reads on a make-up"
TITLES = (
    "service", "service code", "row", "version", "made", "made by", "until", "until by", "order",
    "kind", "text", "make-up", "done on it", "text as shown", "tool", "required", "only on",
    "only on, in words", "caution", "place", "share", "share filled first", "quantity, L",
    "quantity as shown", "filled first as shown", "grade", "part", "measures", "unit", "low",
    "high", "low in SI", "high in SI", "SI unit", "least that can be", "most that can be", "where",
    "for safety", "outside it, what is due", "source of the limit", "figure",
    "figure value", "figure unit", "figure in SI", "figure SI unit", "figure as shown",
    "figure source", "in what order", "source", "picture file", "what the picture shows",
    "in the change log",
)  # fmt: skip


@dataclass(frozen=True)
class _Read:
    """A service as it reads on a make-up; on None: as it is set up for all.

    steps: by their names.  bounds: by what is measured.  figures: by their names.
    """

    makeup: MakeUp | None
    steps: dict[str, FilledStep]
    bounds: dict[str, Limit]
    figures: dict[str, MakeUpFigure]


def procedures_table(
    name: str, services: QuerySet[Service], units: str, zone: tzinfo, makeup: str = ""
) -> TableOfCells:
    """Return the steps of services as a table; as many queries however many services.

    units: in which quantities are shown.  zone: of the times.  makeup: the number of the only one
    on which they are read; empty: on all.
    """
    limits = Prefetch("limits", Limit.objects.select_related("then").order_by("pk"))
    copies = services.select_related("library_copy__taken_by")
    rows = list(copies.prefetch_related(None).prefetch_related(STEP_ROWS, limits))
    makeups = makeups_of_each(rows)
    place = FilePlace(units, zone, dict(StepPicture.objects.values_list("pk", "name")))
    changes = _changes([one.pk for one in rows])
    cells: list[Sequence[Cell]] = []
    for service in rows:
        read_on = [one for one in makeups[service.pk] if makeup in ("", str(one.pk))]
        versions = _versions(service, changes.get(service.pk, []))
        head = {"service": service.name, "service code": service.code}
        for told in _of_service(service, read_on, versions, place):
            cells.append([(head | told).get(title) for title in TITLES])
    return TableOfCells(name, TITLES, cells)


def procedure_table(service: Service, units: str, zone: tzinfo, makeup: str = "") -> TableOfCells:
    """Return the steps of one service as a table."""
    alone = Service.objects.filter(pk=service.pk)
    return procedures_table(f"procedure {service.code}", alone, units, zone, makeup)


def _changes(services: Sequence[int]) -> dict[int, list[LoggedChange]]:
    kind = str(Service._meta.verbose_name)
    rows = LoggedChange.objects.filter(kind=kind, subject_id__in=services).select_related("by")
    in_order = rows.order_by("subject_id", "-at", "-pk")
    return {pk: list(some) for pk, some in groupby(in_order, lambda one: one.subject_id)}


def _versions(service: Service, changes: Sequence[LoggedChange]) -> StepVersions:
    return step_versions(
        {one.pk: values_of(one, LOGGED_FIELDS) for one in service.steps.all()}, changes
    )


def _reads(service: Service, makeups: Sequence[MakeUp], units: str) -> Iterator[_Read]:
    """Yield a service as it is set up for all, then as it reads on each make-up."""
    steps, limits = service.steps.all(), service.limits.all()
    for makeup in (None, *makeups):
        pk = makeup.pk if makeup else 0
        fitted = on_makeup(makeup, units) if makeup else OnMachine(makeup_id=0, units=units)
        yield _Read(
            makeup,
            {one.key: one for one in fill_steps(steps, limits, fitted)},
            {one.name: one for one in limits_for(limits, pk)},
            {one.name: one for one in makeup.figures.all()} if makeup else {},
        )


def _of_service(
    service: Service, makeups: Sequence[MakeUp], versions: StepVersions, place: FilePlace
) -> Iterator[Told]:
    reads = list(_reads(service, makeups, place.units))
    for step in service.steps.all():
        now, *before = versions.standing[step.pk]
        for read in reads:
            filled = read.steps.pop(step.key or f"step-{step.position}", None)
            told = _of_step(step) | version_cells(now, service, step.key, place)
            yield told | _read_on(read, step, filled, place)
        for one in before:
            yield earlier_cells(one, BEFORE, place) | version_cells(one, service, step.key, place)
    for read in reads:  # what is measured and no step names
        for filled in read.steps.values():
            row = ServiceStep(kind=str(filled.kind), text=filled.text, measures=filled.measures)
            told = {"kind": row.kind, "text": row.text, "measures": row.measures}
            yield told | _read_on(read, row, filled, place)
    for gone in versions.gone:
        for one in gone:
            told = earlier_cells(one, GONE if one is gone[0] else BEFORE, place)
            yield told | version_cells(one, service, "", place)
    for loose in versions.loose:
        yield loose_cells(loose, place)


def _of_step(step: ServiceStep) -> Told:
    """Tell a step as it is set up, the same on every make-up."""
    return {
        "order": step.position,
        "kind": step.kind,
        "text": step.text,
        "tool": step.tool,
        "required": "yes" if step.required else "no",
        "only on": step.only_on,
        "only on, in words": builds_cell(step.only_on),
        "caution": str(step.caution) if step.caution else "",
        "place": step.place,
        "share": step.share,
        "share filled first": step.first_share,
        "measures": step.measures,
        "figure": step.figure,
        "in what order": step.turning_order,
        "source": step.source,
        **picture_cells(picture_at(step)),
    }


def _read_on(read: _Read, row: ServiceStep, step: FilledStep | None, place: FilePlace) -> Told:
    """Tell what a make-up says of a step; None: it is not done on that build."""
    told: Told = {"row": READS, "make-up": str(read.makeup)} if read.makeup else {"row": STANDS}
    told |= _bounds(read.bounds.get(row.measures))
    if step is None:
        return told | {"done on it": "no"}
    first, whole = step.first_ml, step.quantity_ml
    return told | {
        "done on it": f"if it has {step.only_if}" if step.only_if else "yes",
        "text as shown": step.text,
        "quantity, L": None if whole is None else round(whole / LITRE, 6),
        "quantity as shown": None if whole is None else show_fill(whole, place.units),
        "filled first as shown": None if first is None else show_fill(first, place.units),
        "grade": step.grade,
        "part": step.part,
        "figure as shown": step.figure,
        **_figure(read.figures.get(row.figure)),
    }


def _bounds(limit: Limit | None) -> Told:
    if limit is None:
        return {}
    low, unit = in_si(limit.low, limit.unit)
    high, same = in_si(limit.high, limit.unit)
    return {
        "unit": limit.unit,
        "low": limit.low,
        "high": limit.high,
        "low in SI": low,
        "high in SI": high,
        "SI unit": unit or same,
        "least that can be": limit.possible_low,
        "most that can be": limit.possible_high,
        "where": limit.places,
        "for safety": "yes" if limit.safety else "no",
        "outside it, what is due": limit.then.name if limit.then else "",
        "source of the limit": limit.source,
    }


def _figure(figure: MakeUpFigure | None) -> Told:
    if figure is None:
        return {}
    value, unit = in_si(figure.value, figure.unit)
    return {"figure value": figure.value, "figure unit": figure.unit, "figure in SI": value,
            "figure SI unit": unit, "figure source": figure.source}  # fmt: skip
