"""A machine goes to live in another yard, and with it its calendar, its shop and its units."""

from datetime import datetime

from django.db import transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change
from fleet.actions.keep_times import retime
from fleet.actions.retire_machines import lift_pins
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import Machine, Person, Yard
from fleet.refusal import Refusal


@transaction.atomic
def move_machine(
    machine: Machine, yard: Yard, *, reason: str, by: Person, now: datetime
) -> Machine:
    """Move a machine to another yard; the yard where it lives already changes nothing.

    Where another shop serves that yard, pins of its work are lifted: they were days of the old one.
    """
    lock_machines([machine.pk])
    machine.refresh_from_db()
    if machine.yard_id == yard.pk:
        return machine
    if machine.merged_into_id:
        raise Refusal(f"{machine.tag} is one machine with {machine.merged_into}; move that one.")
    before, shop, zone = values_of(machine, ["yard"]), machine.yard.shop_id, machine.yard.time_zone
    machine.yard = yard
    machine.save(update_fields=["yard"])
    if zone != yard.time_zone:
        retime([machine.pk])
    if shop != yard.shop_id:
        lift_pins(machine, by=by, now=now)
    changed = differences(before, values_of(machine, ["yard"]))
    keep_change(machine, "moved", changed, by=by, now=now, reason=reason)
    tell({machine.pk})
    return machine
