"""Services of which somebody said that nobody knows when they were last done."""

from datetime import datetime
from typing import Any

from django.db.models import QuerySet

from fleet.models import LastDoneAnswer
from scheduling.facts.machine_arrays import MachineArrays
from scheduling.facts.prepared import rows_of
from scheduling.facts.scope import Scope, transposed


def load_unsure(machines: MachineArrays, scope: Scope, now: datetime) -> list[tuple[int, int]]:
    """Return machine row and service of each, by the last answer that was given; one query."""
    machine, service, answer = transposed(rows_of(_answers, scope, now=now), 3)
    at, known = machines.rows(machine)
    last = {
        (int(i), key): said
        for i, ours, key, said in zip(at, known, service, answer, strict=True)
        if ours
    }
    return [place for place, said in last.items() if said == LastDoneAnswer.Answer.UNKNOWN]


def _answers(scope: Scope, now: datetime) -> QuerySet[LastDoneAnswer, Any]:
    rows = LastDoneAnswer.objects.filter(scope.on("machine"), said_at__lte=now)
    return rows.order_by("said_at", "pk").values_list("machine_id", "service_id", "answer")
