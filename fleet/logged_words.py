"""A value in the words in which the change log keeps it."""

from collections.abc import Iterable
from datetime import date, datetime
from functools import singledispatch

from django.db import models


@singledispatch
def in_words(value: object) -> str:
    """Return a value as the log keeps it: dates by ISO 8601, a choice by its label, "" for none."""
    return str(value)


@in_words.register
def _(value: None) -> str:
    return ""


@in_words.register
def _(value: bool) -> str:
    return "yes" if value else "no"


@in_words.register
def _(value: models.Choices) -> str:
    return str(value.label)


@in_words.register
def _(value: datetime) -> str:
    return value.isoformat(" ", "minutes")


@in_words.register
def _(value: date) -> str:
    return value.isoformat()


@in_words.register
def _(value: float) -> str:
    return f"{value:.10g}"


def values_of(row: models.Model, fields: Iterable[str]) -> dict[str, str]:
    """Return what a row's fields hold, in words, by the name that the field has on forms."""
    found = {}
    for name in fields:
        field = row._meta.get_field(name)
        shown = getattr(row, f"get_{name}_display", None)
        value = shown() if shown else getattr(row, name)
        found[str(getattr(field, "verbose_name", name))] = in_words(value)
    return found
