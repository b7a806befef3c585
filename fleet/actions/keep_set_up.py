"""What is set up is kept: one form with its rows, in one transaction, told and logged."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from django.db import models, transaction

from fleet.actions.follow_zone import follow_zone
from fleet.actions.keep_changes import ChangedValue, differences, keep_change
from fleet.changed_facts import tell
from fleet.logged_words import in_words, values_of
from fleet.models import Person
from fleet.queries.history_of import history_of
from fleet.refusal import Refusal

Touched = Callable[[Any], Iterable[int]]
"""Returns the machines whose due points, blocks or plan hang on a row."""


class Filled(Protocol):
    """A form that was found valid, or the rows that belong to it."""

    instance: Any

    def save(self) -> Any:
        """Write what was typed."""


class FilledForm(Filled, Protocol):
    """A form that holds something beside its row."""

    changed_data: list[str]

    def after(self, row: Any) -> None:
        """Keep that too."""


@dataclass(frozen=True)
class LogTerms:
    """What of a thing the change log tells: its fields, its lists, and the rows that hang on it.

    secret: typed names that are told of, and their values never.
    """

    fields: Sequence[str]
    rows: Sequence[str] = ()
    secret: Sequence[str] = ("password",)


@transaction.atomic
def keep_set_up(
    form: FilledForm, rows: Sequence[Filled], told: LogTerms, touched: Touched,
    *, by: Person, now: datetime,
) -> Any:  # fmt: skip
    """Save a form with its rows; what changed goes into the log, whom it concerns is told."""
    fresh = form.instance.pk is None
    stood = None if fresh else type(form.instance)._default_manager.get(pk=form.instance.pk)
    before = {} if stood is None else snapshot(stood, told)
    machines = set() if stood is None else set(touched(stood))
    _save_above(form.instance)
    row = form.save()
    for each in rows:
        each.instance = row
        each.save()
    form.after(row)
    row = type(row)._default_manager.get(pk=row.pk)
    follow_zone(stood, row)
    changed = differences(before, snapshot(row, told))
    changed += [ChangedValue(name, "", "set") for name in told.secret if name in form.changed_data]
    if changed:
        keep_change(row, "added" if fresh else "changed", changed, by=by, now=now)
        tell(machines | set(touched(row)))
    return row


def _save_above(row: models.Model) -> None:
    """Save what a new row belongs to, where that is new itself."""
    for field in row._meta.fields:
        if isinstance(field, models.ForeignKey) and field.is_cached(row):
            above = getattr(row, field.name)
            if above is not None and above.pk is None:
                above.save()
                setattr(row, field.name, above)


def snapshot(row: models.Model, told: LogTerms) -> dict[str, str]:
    """Return what stands in a row, its lists and the rows that hang on it, in words."""
    many = {field.name for field in row._meta.many_to_many}
    found = values_of(row, [name for name in told.fields if name not in many])
    for name in told.fields:
        if name in many:
            label = str(row._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
            found[label] = ", ".join(sorted(map(str, getattr(row, name).all())))
    for name in told.rows:
        for each in getattr(row, name).all():
            found |= _row_of(each, row)
    return found


def _row_of(each: models.Model, above: models.Model) -> dict[str, str]:
    """Return a row that hangs on another: named by its kind and first value, told by the rest."""
    fields = [
        field
        for field in each._meta.fields
        if not field.primary_key and field.related_model is not type(above) and field.editable
    ]
    # a row that ties two of one kind has no fields of its own: its whole name tells it
    values = [in_words(value) for value in _words(each, fields)] or [str(each)]
    name = f"{each._meta.verbose_name} {values[0]}".strip()
    return {name: ", ".join(filter(None, values[1:])) or "yes"}


def _words(each: models.Model, fields: Sequence["models.Field[Any, Any]"]) -> Iterable[Any]:
    for field in fields:
        shown = getattr(each, f"get_{field.name}_display", None)
        yield shown() if shown else getattr(each, field.name)


@transaction.atomic
def take_out(row: models.Model, touched: Touched, *, by: Person, now: datetime) -> None:
    """Take out what was set up and nothing has come of; what has a history stays."""
    if sentence := history_of(row):
        raise Refusal(sentence)
    machines = set(touched(row))
    keep_change(row, "taken out", by=by, now=now)
    row.delete()
    tell(machines)
