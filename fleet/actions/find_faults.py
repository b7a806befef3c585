"""A search for a fault: begun, its checks answered, its cause noted as a finding or as work."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.actions.note_findings import NewFinding, holds_of, note_findings
from fleet.actions.remember_acts import remember_act
from fleet.changed_facts import tell
from fleet.models import (
    Act,
    FaultOutcome,
    FaultSearch,
    Finding,
    FoundFault,
    Machine,
    Person,
    Service,
)
from fleet.procedures.fault_library import symptom_called
from fleet.refusal import Refusal


@transaction.atomic
def begin_search(
    machine: Machine, symptom: str, form_key: str, *, by: Person, now: datetime
) -> FaultSearch:
    """Begin to look for the cause of a symptom; the same form sent twice begins once."""
    told = symptom_called(symptom)
    if told is None:
        raise Refusal("Choose what you see or hear.", "symptom")
    made, _ = FaultSearch.objects.get_or_create(
        form_key=form_key,
        defaults={"machine": machine, "symptom": symptom, "words": told.words,
                  "begun_at": now, "begun_by": by},
    )  # fmt: skip
    return made


@transaction.atomic
def note_outcome(
    search: FaultSearch, check_key: str, outcome: str, *, by: Person, now: datetime
) -> FaultOutcome:
    """Write down what a check showed; said anew, the later word stands and the first is kept."""
    symptom = symptom_called(search.symptom)
    check = symptom.check(check_key) if symptom else None
    told = check.outcome(outcome) if check else None
    if check is None or told is None:
        raise Refusal("That answer is none of this check.")
    if FoundFault.objects.filter(search=search).exists():
        raise Refusal("The cause is noted already; start again if it was not that.")
    last = search.outcomes.filter(check_key=check_key).last()
    if last is not None and last.outcome == outcome:
        return last
    return FaultOutcome.objects.create(
        search=search, check_key=check_key, words=check.text, outcome=outcome,
        showed=told.words, at=now, by=by,
    )  # fmt: skip


@dataclass(frozen=True)
class FaultWords:
    """What the cause is.  gravity: of `Finding`.  calls_for: the service whose parts mend it."""

    words: str
    cause: str = ""
    gravity: str = Finding.Gravity.DEFECT
    minutes: int = 60
    calls_for: Service | None = None


@transaction.atomic
def note_fault(search: FaultSearch, fault: FaultWords, *, by: Person, now: datetime) -> FoundFault:
    """Note the cause: a finding, planned as work unless it is a mere note; once for each search."""
    search = (
        FaultSearch.objects.select_for_update(no_key=True)
        .select_related("machine")
        .get(pk=search.pk)
    )
    if made := FoundFault.objects.filter(search=search).first():
        return made
    text = f"{search.words}: {fault.words.strip()}"[:400]
    if not fault.words.strip():
        raise Refusal("Say in a few words what it was.", "words")
    new = NewFinding(
        machine=search.machine, text=text, gravity=fault.gravity, calls_for=fault.calls_for,
        minutes=fault.minutes, form_key=f"fault-{search.pk}",
    )  # fmt: skip
    (finding,) = note_findings([new], by=by, now=now)
    found = FoundFault.objects.create(
        search=search, cause=fault.cause, words=fault.words.strip()[:160], finding=finding,
        at=now, by=by,
    )  # fmt: skip
    rows = {"finding": [finding]}
    if finding.gravity == Finding.Gravity.UNSAFE:
        rows["hold"] = holds_of(finding)  # type: ignore[assignment]
    remember_act(
        Act.What.FINDING, f"the finding on {search.machine.tag}", rows, by=by, now=now,
        machine=search.machine,
    )  # fmt: skip
    tell([search.machine_id])
    return found
