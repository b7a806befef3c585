"""How a fleet stands today: how many machines in each state."""

from collections.abc import Mapping

from django.db.models import Case, Count, IntegerField, Q, QuerySet, Value, When

from fleet.models import Machine
from scheduling.models import MachineState, State

WORST_FIRST = tuple(reversed(State.values))
"""State codes, worst first; the order of the enumeration is the order of gravity."""


def gravity(path: str = "state") -> Case:
    """Return the rank of a state for sorting: 0 is the worst."""
    ranks = [When(**{path: code}, then=Value(rank)) for rank, code in enumerate(WORST_FIRST)]
    return Case(*ranks, default=Value(len(WORST_FIRST)), output_field=IntegerField())


def working(machines: QuerySet[Machine]) -> QuerySet[Machine]:
    """Return those machines that are not retired."""
    return machines.filter(retired_on=None)


def state_counts(machines: QuerySet[Machine]) -> Mapping[str, int]:
    """Return state -> how many working machines, every state named; one query.

    A machine that was never computed counts as not known.
    """
    rows = working(machines).order_by().values_list("now__state").annotate(n=Count("pk"))
    counts = dict.fromkeys(WORST_FIRST, 0)
    for state, n in rows:
        counts[state or State.UNKNOWN] += n
    return counts


def in_state(machines: QuerySet[Machine], state: str) -> QuerySet[Machine]:
    """Return the machines in one state; never computed is not known."""
    if state == State.UNKNOWN:
        return machines.filter(Q(now__state=state) | Q(now=None))
    return machines.filter(now__state=state)


def lacking(machines: QuerySet[Machine]) -> QuerySet[MachineState]:
    """Return the states of working machines of which something is missing."""
    return MachineState.objects.filter(machine__in=working(machines)).exclude(missing="")
