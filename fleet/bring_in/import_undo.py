"""An import is undone whole, as long as nothing was built upon what it made.

A small one is one transaction.  Of a large one readings go batch by batch and the rest at the end
(`undo_in_steps`); a worker that is killed goes on where it was.

What it made is known by number (`MadeRows`).  Whatever else refers to those rows by now (a booking
of a machine, work in its book, a change of it) was built upon them and stands in the way by name.
Consequences do not: they are worked out again.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.apps import apps
from django.db import transaction
from django.db.models import Model, ProtectedError, Q, QuerySet

from fleet.actions.keep_changes import ChangedValue, keep_change
from fleet.bring_in.import_run import WRITTEN_IN_ORDER
from fleet.bring_in.made_rows import Spans
from fleet.changed_facts import tell
from fleet.models import (
    Import,
    KeptDay,
    KeptWork,
    LoggedChange,
    Machine,
    Person,
    Reading,
    ReadingToMend,
    Shop,
    ToComplete,
)
from fleet.refusal import Refusal
from fleet.saying import counted

NAMED = 12
"""What stands in the way is named up to so many."""
SPANS_AT_ONCE = 100
"""Spans of row numbers in one query."""
GONE_IN_ORDER: tuple[type[Model], ...] = (Reading, ReadingToMend, *reversed(WRITTEN_IN_ORDER))
"""Models whose rows are taken away, what refers to others first."""
LISTS: tuple[type[Model], ...] = (KeptWork, KeptDay)
"""What stood on a list on some morning goes with the machines and shops of which it was."""
TO_MACHINES = {
    "fleet.reading": "meter__machine",
    "fleet.meter": "machine",
    "fleet.servicerecord": "machine",
    "fleet.booking": "machine",
    "fleet.interval": "machine",
}
"""Models by the way from their rows to the machine whose consequences move."""


def in_the_way(kept: Import) -> list[str]:
    """Name what was built upon an import since; empty where it can be undone.

    The number of queries grows with the models that it made rows of, not with the rows.
    """
    found: list[str] = []
    for model in GONE_IN_ORDER:
        for related, field in _referring(model):
            for part in _parts(kept, model):
                rows = related._default_manager.filter(_within(field, part))
                for own in _parts(kept, related):
                    rows = rows.exclude(_within("pk", own))
                if related is ReadingToMend:
                    rows = rows.exclude(pk__in=kept.settled)
                found += [_named(row) for row in rows.distinct()[: NAMED + 1]]
                if len(found) > NAMED:
                    return found
        found += _changed(kept, model)
    return list(dict.fromkeys(found))


def _named(row: Model) -> str:
    return f"{row._meta.verbose_name} {row}"


def _referring(model: type[Model]) -> Iterator[tuple[type[Model], str]]:
    """Return the facts that refer to a model, and the field by which they do."""
    for relation in model._meta.get_fields(include_hidden=True):
        if not relation.auto_created or relation.concrete:
            continue
        related: Any = relation.related_model
        field: Any = relation.field  # type: ignore[union-attr]  # what is not concrete has one
        if related._meta.app_label == "fleet" and related not in (*LISTS, LoggedChange):
            yield related, field.name


def _changed(kept: Import, model: type[Model]) -> list[str]:
    """Name rows of an import that were changed since, by the change log."""
    found: list[str] = []
    since = LoggedChange.objects.filter(at__gte=kept.made_at)
    for part in _parts(kept, model):
        own = since.filter(kind=str(model._meta.verbose_name)).filter(_within("subject_id", part))
        if model is Machine:
            own = own | since.filter(_within("machine", part))
        found += [f"change of {row.kind} {row.subject}: {row.act}" for row in own[:NAMED]]
    return found


def _parts(kept: Import, model: type[Model]) -> Iterator[Spans]:
    spans: Spans = kept.made.get(model._meta.label_lower, [])
    for start in range(0, len(spans), SPANS_AT_ONCE):
        yield spans[start : start + SPANS_AT_ONCE]


def _within(field: str, spans: Spans) -> Q:
    """Return the condition that a field lies within spans of numbers."""
    found = Q()
    for first, last in spans:
        found |= Q(**{f"{field}__gte": first, f"{field}__lte": last})
    return found


@transaction.atomic
def undo_import(kept: Import, *, by: Person | None, now: datetime) -> Import:
    """Take away all that an import made, and open again what it settled; twice is once.

    Raises:
        Refusal: something was built upon it; the sentence names what.

    """
    if kept.stage == Import.Stage.UNDONE:
        return kept
    if kept.stage != Import.Stage.DONE:
        raise Refusal(f"{kept} was not brought in, so there is nothing to undo.")
    taken = Import.objects.filter(pk=kept.pk, stage=Import.Stage.DONE)
    if not taken.update(stage=Import.Stage.UNDONE, undone_at=now, undone_by=by):
        kept.refresh_from_db()
        return kept
    refuse_built_upon(kept)
    machines = machines_left(kept)
    take_the_rest_away(kept)
    kept.refresh_from_db()
    keep_change(kept, "undone", [ChangedValue("rows", f"{rows_made(kept):,}", "0")], by=by, now=now)
    tell(machines)
    return kept


def refuse_built_upon(kept: Import) -> None:
    """Refuse to undo an import by the names of what was built upon it."""
    if found := in_the_way(kept):
        more = f" and {len(found) - NAMED} more" if len(found) > NAMED else ""
        raise Refusal(
            f"{kept} cannot be undone, since this was built upon it: {'; '.join(found[:NAMED])}"
            f"{more}. Strike or undo that first."
        )


def take_the_rest_away(kept: Import) -> None:
    """Take away what is there of an import, and open again what it settled."""
    _open_again(kept)
    try:
        _take_away(kept)
    except ProtectedError as error:
        names = "; ".join(sorted(map(str, error.protected_objects))[:NAMED])
        raise Refusal(f"{kept} cannot be undone: {names} refer to it.") from None
    ToComplete.objects.filter(of_import=kept).delete()


def rows_made(kept: Import) -> int:
    """Return how many rows an import made."""
    return sum(last - first + 1 for spans in kept.made.values() for first, last in spans)


def machines_left(kept: Import) -> set[int]:
    """Return the machines that stay and whose facts go."""
    found: set[int] = set()
    for label, way in TO_MACHINES.items():
        model = apps.get_model(label)
        for part in _parts(kept, model):
            rows = model._default_manager.filter(_within("pk", part)).order_by()
            found.update(rows.values_list(way, flat=True).distinct())
            if label == "fleet.interval":
                found.update(rows.values_list("makeup__machines", flat=True).distinct())
    found.discard(None)  # an interval is of a make-up or of a machine
    for part in _parts(kept, Machine):
        gone = Machine.objects.filter(_within("pk", part))
        found -= set(gone.values_list("pk", flat=True))
    return found


def _open_again(kept: Import) -> None:
    """Let kept readings wait again that fitted only through this import."""
    ReadingToMend.objects.filter(pk__in=kept.settled).update(
        mended_at=None, mended_by=None, mended_as=None, mended_note=""
    )


def _take_away(kept: Import) -> None:
    """Delete the rows, what refers to others first."""
    for part in _parts(kept, Shop):
        KeptWork.objects.filter(_within("kept_day__shop", part)).delete()
    for model in LISTS:
        for field in ("machine", "service", "mechanic", "shop"):
            _drop_lists(kept, model, field)
    for model in GONE_IN_ORDER:
        for part in _parts(kept, model):
            delete_rows(model._default_manager.filter(_within("pk", part)).order_by())


def _drop_lists(kept: Import, model: type[Model], field: str) -> None:
    names = {one.name: one for one in model._meta.get_fields()}
    if field not in names:
        return
    target: Any = names[field].related_model
    for part in _parts(kept, target):
        model._default_manager.filter(_within(field, part)).delete()


def delete_rows(rows: QuerySet[Any]) -> None:
    """Delete rows; readings, to which nothing refers by now, without loading them one by one."""
    if rows.model in (Reading, ReadingToMend):
        rows._raw_delete(rows.db)  # a million, none referred to
    else:
        rows.delete()


def said_undone(kept: Import) -> str:
    """Say what an undo did."""
    return f"{kept} is undone: {counted(rows_made(kept), 'row')} taken away."
