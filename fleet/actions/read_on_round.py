"""A reading typed on the meter round, remembered so that it can be undone at once."""

from datetime import datetime

from django.db import transaction

from fleet.actions.remember_acts import remember_act
from fleet.actions.take_readings import take_reading
from fleet.models import Act, Reading
from fleet.queries.judge_readings import NewReading


@transaction.atomic
def read_on_round(new: NewReading, now: datetime, answer: str = "") -> Reading:
    """Take a reading as `take_reading` does; one that was here already is no act."""
    reading = take_reading(new, now, answer)
    if reading.entered_at == now:
        words = f"the reading of {new.machine.tag}"
        remember_act(
            Act.What.READING, words, {"reading": [reading]}, by=new.by, now=now,
            machine=new.machine,
        )  # fmt: skip
    return reading
