"""The manager publishes all; a mechanic accepts a mend of their own that moves only their work."""

import pytest

from fleet.models import Person, Role
from scheduling.models import Trial
from scheduling.trial.rights import ASKED_BY_ANOTHER, FOR_THE_MANAGER, OTHERS_WORK, why_not

ADA = Person(pk=1, username="ada", role=Role.MECHANIC)
BO = Person(pk=2, username="bo", role=Role.MECHANIC)
MANAGER = Person(pk=3, username="odile", role=Role.MANAGER)
DESK = Person(pk=4, username="wes", role=Role.DESK)


def place(account):
    return {"day": "2026-03-03", "mechanic": account.title(), "account": account}


OWN = {"before": place("ada"), "after": place("ada")}
WAITS = {"before": place("ada"), "after": None}
TO_BO = {"before": place("ada"), "after": place("bo")}


@pytest.mark.parametrize(
    ("person", "kind", "moves", "barred"),
    [
        (MANAGER, "try", [TO_BO], ""),
        (MANAGER, "mend", [TO_BO], ""),
        (ADA, "try", [], FOR_THE_MANAGER),
        (DESK, "mend", [], FOR_THE_MANAGER),
        (ADA, "mend", [], ""),
        (ADA, "mend", [OWN, WAITS], ""),
        (ADA, "mend", [OWN, TO_BO], OTHERS_WORK),
        (BO, "mend", [OWN], ASKED_BY_ANOTHER),
    ],
)
def test_who_may_publish(person, kind, moves, barred):
    trial = Trial(kind=kind, by=ADA, shown={"moves": moves})
    assert why_not(person, trial) == barred
