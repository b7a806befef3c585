"""A machine broke down: it is held and its repair found at once, and few moves are worked out that
take the repair into the plan."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.note_findings import NewFinding, note_finding
from fleet.models import Finding, Machine, Person, Shop
from scheduling.actions.try_changes import ask_trial
from scheduling.models import Trial
from scheduling.trial.changes import BrokeDown


@dataclass(frozen=True)
class Breakdown:
    """Which machine, what is wrong with it, and a guess at the minutes of its repair."""

    machine: Machine
    text: str
    minutes: int


@transaction.atomic
def report_breakdown(
    shop: Shop, said: Breakdown, *, by: Person, now: datetime, form_key: str | None = None
) -> Trial:
    """Write it down and owe the mend; the same form sent twice is one breakdown and one mend.

    The finding and the hold stand whatever becomes of the mend: the machine is broken anyway.
    """
    new = NewFinding(
        machine=said.machine, text=said.text, gravity=Finding.Gravity.UNSAFE,
        minutes=said.minutes, form_key=form_key,
    )  # fmt: skip
    note_finding(new, by=by, now=now)
    change = BrokeDown(said.machine.pk, said.machine.tag, said.text.strip())
    kind = Trial.Kind.MEND
    return ask_trial(shop, [change], by=by, now=now, kind=kind, form_key=form_key)
