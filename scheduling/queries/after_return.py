"""What became of a machine that came back: what differs, how it was used, how it stands now."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleet.models import HandOver, Machine
from fleet.queries.compared_hand_overs import used_between, what_differs
from fleet.saying import say_date, without_stop
from scheduling.models import PlannedJob, State


@dataclass(frozen=True)
class AfterReturn:
    """What is told on the page of a booking that is over, in sentences."""

    differs: Sequence[str]
    used: str
    stands: str


def after_return(out: HandOver, back: HandOver, machine: Machine, today: date) -> AfterReturn:
    """Compare the two hand-overs, whose readings are loaded; one query for the plan."""
    return AfterReturn(
        what_differs(out, back),
        used_between(out, back, machine.yard).sentence,
        _stands(machine, today),
    )


def _stands(machine: Machine, today: date) -> str:
    """Say whether it is free, due, held, and when it goes to the shop."""
    now = getattr(machine, "now", None)
    if now is None:
        return ""
    state = State(now.state)
    free = "It is free" if state in (State.CLEAR, State.COMING_DUE) else f"It is {state.label}"
    headline = now.headline.removeprefix(f"{State.HELD.label}: ")
    headline = f": {without_stop(headline)}" if headline else ""
    job = PlannedJob.objects.filter(machine=machine, day__gte=today).order_by("day").first()
    planned = f"; planned for {say_date(job.day, today)}" if job else ""
    return f"{free}{headline}{planned}."
