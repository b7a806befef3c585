"""Machines as a client of the interface lists them: by tag, each with its state."""

from dataclasses import dataclass

from fleet.models import ClientKey, Machine, MachineClass, Yard
from fleet.queries.standing_keys import machines_of_key


@dataclass(frozen=True)
class MachinesWanted:
    """Which machines; what is left out does not narrow.  after: tags behind this one."""

    machine_class: MachineClass | None = None
    yard: Yard | None = None
    state: str = ""
    after: str = ""


def machines_listed(key: ClientKey, wanted: MachinesWanted, most: int) -> list[Machine]:
    """Return so many working machines that a key reaches at most; one query."""
    rows = machines_of_key(key).filter(retired_on=None).select_related("now")
    if wanted.machine_class:
        rows = rows.filter(makeup__machine_class=wanted.machine_class)
    if wanted.yard:
        rows = rows.filter(yard=wanted.yard)
    if wanted.state:
        rows = rows.filter(now__state=wanted.state)
    if wanted.after:
        rows = rows.filter(tag__gt=wanted.after)
    return list(rows.order_by("tag")[:most])
