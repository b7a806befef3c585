"""Which meter of each machine is most worth reading, by how much, and why."""

from dataclasses import dataclass

import numpy as np

from fleet.saying import counted
from scheduling.core.forecast import HORIZON, DueTasks, reading_worth
from scheduling.due.consequences import Consequences
from scheduling.due.sentences import meter_word
from scheduling.facts.yard_days import Ints

LEAST_GAIN = 5
"""Days by which a reading must narrow a range to be worth a walk (own judgement)."""


@dataclass(frozen=True)
class WorthReading:
    """The meter to read, the days by which its service's range would narrow, and why."""

    kind: str = ""
    gain: int = 0
    why: str = ""


def worth_reading(outcome: Consequences) -> dict[int, WorthReading]:
    """Return by machine row the meter whose reading helps most, where one helps enough.

    Of each meter the next service alone is looked at: it is what a reading decides.
    """
    found: dict[int, WorthReading] = {}
    for kind, use in outcome.uses.items():
        at = _next_lines(outcome, kind)
        local = use.local[outcome.lines.machine[at]]
        tasks = DueTasks(local, outcome.forecasts.remaining[at])
        gains = np.round(reading_worth(use.lesson.model, use.outlook, tasks)).astype(np.int64)
        for line, gain in zip(at.tolist(), gains.tolist(), strict=True):
            machine = int(outcome.lines.machine[line])
            worth = WorthReading(kind, gain, _why(outcome, line, gain))
            if worth.why and gain >= found.get(machine, WorthReading()).gain:
                found[machine] = worth
    return found


def _next_lines(outcome: Consequences, kind: str) -> Ints:
    """Return the line of each machine that comes next on a meter, if it is near enough to matter.

    Left out are machines whose meter was never read: their walk is asked for elsewhere.
    """
    lines, forecasts = outcome.lines, outcome.forecasts
    near = np.flatnonzero(
        (lines.kind == kind) & outcome.stands & (forecasts.remaining > 0)
        & ~np.isnan(forecasts.life_now) & (forecasts.meter_days[:, 0] <= HORIZON)
    )  # fmt: skip
    order = near[np.lexsort((forecasts.remaining[near], lines.machine[near]))]
    _, first = np.unique(lines.machine[order], return_index=True)
    return order[first]


def _why(outcome: Consequences, line: int, gain: int) -> str:
    """Say why the meter should be read; nothing where a reading would tell too little."""
    word = meter_word(str(outcome.lines.kind[line]))
    service = outcome.facts.rules.services[int(outcome.lines.service[line])]["name"]
    if outcome.maybe[line]:
        return f"{service} may already be due: only the {word} can tell"[:200]
    if gain < LEAST_GAIN:
        return ""
    age = max(int(-np.floor(outcome.forecasts.read_day[line])), 0)
    return (
        f"Last read {counted(age, 'day')} ago; a reading would narrow the dates of {service} "
        f"by {counted(gain, 'day')}"
    )[:200]
