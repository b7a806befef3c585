"""The shop is asked for what is done on an occasion: it falls due, and is planned as work."""

from datetime import datetime

from django.db import transaction

from fleet.actions.note_findings import NewFinding, note_finding
from fleet.actions.remember_acts import remember_act
from fleet.models import Act, Finding, Machine, Person
from fleet.queries.occasion_services import OccasionService


@transaction.atomic
def ask_on_occasion(
    machine: Machine, occasion: OccasionService, *, by: Person, now: datetime
) -> Finding:
    """Ask for a service of an occasion; asked for twice while it is open, it is asked for once.

    A note in the findings that calls for the service; done, it is settled with it.
    """
    Machine.objects.select_for_update(no_key=True).get(pk=machine.pk)
    service = occasion.service
    there = machine.findings.filter(calls_for=service, settled_at=None, struck=False).first()
    if there is not None:
        return there
    new = NewFinding(machine, f"{occasion.title}: asked for.", calls_for=service)
    finding = note_finding(new, by=by, now=now)
    remember_act(
        Act.What.FINDING, f"the finding on {machine.tag}", {"finding": [finding]}, by=by, now=now,
        machine=machine,
    )  # fmt: skip
    return finding
