"""What hangs on something that is set up, so that it cannot be taken out any more."""

from collections import Counter

from django.contrib.admin.utils import NestedObjects
from django.db import models, router

from fleet.models import (
    Accessory,
    Covering,
    FittingPart,
    Fluid,
    Interval,
    LoggedChange,
    MakeUpMeter,
    ServiceNeed,
    ServiceStep,
    ShopHours,
    WalkRoundPoint,
)
from fleet.saying import counted, joined

PARTS_OF_IT = (
    Accessory, Covering, FittingPart, Fluid, Interval, LoggedChange, MakeUpMeter, ServiceNeed,
    ServiceStep, ShopHours, WalkRoundPoint,
)  # fmt: skip
"""Rows that say how something is set up, and go with it."""
OWN_HALF = "fleet"
"""What follows from the facts is worked out again, and is no history."""
NAMED = 4
"""So many kinds are named in one sentence."""


def history_of(row: models.Model) -> str:
    """Say what hangs on a row, so that it stays; nothing where it can go."""
    collector = NestedObjects(using=router.db_for_write(type(row)))
    collector.collect([row])
    hanging = Counter(
        type(one)
        for rows in (*collector.data.values(), collector.protected)
        for one in rows
        if one != row
        and _is_fact(type(one))
        and (one in collector.protected or not isinstance(one, PARTS_OF_IT))
    )
    if not hanging:
        return ""
    said = [_counted(model, number) for model, number in hanging.most_common(NAMED)]
    more = " and more" if len(hanging) > NAMED else ""
    return (
        f"{row} has {', '.join(said) if more else joined(said)}{more}, so it stays:"
        " what happened is never deleted."
    )


def _is_fact(model: type[models.Model]) -> bool:
    """Whether a row of a model says something by itself, and is none that only ties two others."""
    return model._meta.app_label == OWN_HALF and not model._meta.auto_created


def _counted(model: type[models.Model], number: int) -> str:
    names = model._meta.verbose_name, model._meta.verbose_name_plural
    return counted(number, str(names[0]), str(names[1]))
