"""Trials of a person's shops: the open ones, and the last that are done with."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from fleet.models import Person, Shop
from fleet.queries.mine import shops_of
from scheduling.models import Trial
from scheduling.queries.trial_overview import said_changes

LISTED = 10
"""Trials listed that are done with."""

OPEN = (Trial.State.ASKED, Trial.State.READY)


@dataclass(frozen=True)
class ListedTrial:
    """A trial and its changes in words."""

    trial: Trial
    changes: list[str]


@dataclass(frozen=True)
class TrialList:
    """A shop's trials of one kind."""

    open: list[ListedTrial]
    done: list[ListedTrial]


def trials_of(person: Person) -> QuerySet[Trial]:
    """Return the trials of the shops that a person may look at, with who asked and settled."""
    rows = Trial.objects.select_related("shop", "by", "settled_by")
    return rows.filter(shop__in=shops_of(person))


def list_trials(shop: Shop, kind: Trial.Kind, today: date) -> TrialList:
    """Return a shop's trials of a kind; two queries."""
    rows = Trial.objects.filter(shop=shop, kind=kind).select_related("by", "settled_by")
    return TrialList(
        _listed(rows.filter(state__in=OPEN), today),
        _listed(rows.exclude(state__in=OPEN)[:LISTED], today),
    )


def _listed(rows: Iterable[Trial], today: date) -> list[ListedTrial]:
    return [ListedTrial(row, said_changes(row, today)) for row in rows]
