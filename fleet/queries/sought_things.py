"""A page of one of the lists of Set-up, as far as it is sought."""

from collections.abc import Sequence
from functools import reduce
from operator import or_
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet

A_PAGE = 50


def page_of(rows: QuerySet[Any], search: Sequence[str], sought: str, page: str) -> Page[Any]:
    """Return a page of what holds all sought words in one of its fields."""
    return Paginator(sought_in(rows, search, sought), A_PAGE).get_page(page)


def sought_in(rows: QuerySet[Any], search: Sequence[str], sought: str) -> QuerySet[Any]:
    """Return what holds all sought words in one of its fields; all where none are sought."""
    for word in sought.split()[:8]:
        rows = rows.filter(reduce(or_, (Q(**{f"{name}__icontains": word}) for name in search)))
    return rows
