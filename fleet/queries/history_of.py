"""What hangs on something that is set up, so that it cannot be taken out any more."""

from collections import Counter
from collections.abc import Iterator
from itertools import groupby
from operator import itemgetter

from django.db import models

from fleet.models import (
    Accessory,
    Covering,
    FittingPart,
    Fluid,
    Interval,
    LibraryCopy,
    Limit,
    MakeUpFigure,
    MakeUpMeter,
    Meter,
    ServiceNeed,
    ServiceStep,
    ShopHours,
    Substitute,
    WalkRoundPoint,
    WorkingHours,
)
from fleet.saying import counted, joined

PARTS_OF_IT = (
    Accessory, Covering, FittingPart, Fluid, Interval, LibraryCopy, Limit, MakeUpFigure,
    MakeUpMeter, ServiceNeed, ServiceStep, ShopHours, Substitute, WalkRoundPoint, WorkingHours,
)  # fmt: skip
"""Rows that say how something is set up, and go with it."""
OPENED = (Meter,)
"""What hangs on these is told of what they hang on: a machine has readings."""
OWN_HALF = "fleet"
"""What follows from the facts is worked out again, and is no history."""
NAMED = 4
"""So many kinds are named in one sentence."""


def history_of(row: models.Model) -> str:
    """Say what hangs on a row, so that it stays; nothing where it can go."""
    hanging = +Counter(dict(_hanging(row)))
    if not hanging:
        return ""
    said = [_counted(model, number) for model, number in hanging.most_common(NAMED)]
    more = " and more" if len(hanging) > NAMED else ""
    return (
        f"{row} has {', '.join(said) if more else joined(said)}{more}, so it stays:"
        " what happened is never deleted."
    )


def _hanging(row: models.Model) -> Iterator[tuple[type[models.Model], int]]:
    """Yield each kind of fact that refers to a row, and how many; one query a key."""
    for model, numbers in groupby(sorted(_numbers(row), key=_label), key=itemgetter(0)):
        yield model, sum(number for _, number in numbers)


def _numbers(row: models.Model) -> Iterator[tuple[type[models.Model], int]]:
    for model, key in _keys_to(type(row)):
        yield model, model._base_manager.filter(**{key: row}).count()
        if model in OPENED:
            for inner, inner_key in _keys_to(model):
                rows = inner._base_manager.filter(**{f"{inner_key}__{key}": row})
                yield inner, rows.count()


def _keys_to(model: type[models.Model]) -> Iterator[tuple[type[models.Model], str]]:
    """Yield the facts that refer to rows of a model, with the name of the key by which they do."""
    for relation in model._meta.get_fields(include_hidden=True):
        if not isinstance(relation, models.ManyToOneRel):
            continue
        related, goes = relation.related_model, relation.on_delete
        part = goes is models.CASCADE and related in PARTS_OF_IT
        if _is_fact(related) and not part and goes is not models.SET_NULL:
            yield related, relation.field.name


def _label(found: tuple[type[models.Model], int]) -> str:
    return found[0]._meta.label


def _is_fact(model: type[models.Model]) -> bool:
    """Whether a row of a model says something by itself, and is none that only ties two others."""
    return model._meta.app_label == OWN_HALF and not model._meta.auto_created


def _counted(model: type[models.Model], number: int) -> str:
    names = model._meta.verbose_name, model._meta.verbose_name_plural
    return counted(number, str(names[0]), str(names[1]))
