"""Which machines may go in place of one: of its class, and of those that the shop named for it."""

from datetime import date

from django.db.models import QuerySet

from fleet.models import Machine
from fleet.queries.own_facts import that_may_take
from scheduling.availability.counter_facts import Days
from scheduling.availability.machines_instead import LISTED, Choice, choices
from scheduling.queries.may_go_out import standings


def which_instead(
    machine: Machine,
    days: Days,
    today: date,
    *,
    among: QuerySet[Machine],
    hours_a_day: float | None = None,
) -> list[Choice]:
    """Return the best choices among the machines that a person may look at; eight queries."""
    rows = that_may_take(machine, among)
    rows = rows.select_related("now", "makeup__machine_class", "yard__shop")
    known = standings(rows, today, hours_a_day=hours_a_day, now=days.now)
    return choices(known, machine, days, today)[:LISTED]
