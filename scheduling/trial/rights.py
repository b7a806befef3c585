"""Who may publish a trial or accept a mend.

The manager may do all of it.  A mechanic may look at everything, and accept a mend that they asked
for where it moves no work but their own: what it does to others is for the manager to decide.
"""

from fleet.models import Person, Role
from scheduling.models import Trial

FOR_THE_MANAGER = "Only the fleet manager publishes what was tried out."
OTHERS_WORK = "This moves work of others too, so the fleet manager has to accept it."
ASKED_BY_ANOTHER = "Somebody else asked for this; they or the fleet manager accept it."


def why_not(person: Person, trial: Trial) -> str:
    """Return why a person may not publish or throw away a trial; empty where they may."""
    if person.manages:
        return ""
    if trial.kind != Trial.Kind.MEND or person.role != Role.MECHANIC:
        return FOR_THE_MANAGER
    if trial.by_id != person.pk:
        return ASKED_BY_ANOTHER
    own = {person.username, ""}
    for move in trial.shown.get("moves", []):
        for place in (move["before"], move["after"]):
            if place is not None and place["account"] not in own:
                return OTHERS_WORK
    return ""
