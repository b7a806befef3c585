"""The state of each machine: the worst of its services, or held; and what is missing."""

from datetime import date
from typing import Any

import numpy as np

from fleet.saying import joined
from scheduling.core.intervals import DueState, worst_states
from scheduling.due.consequences import Consequences
from scheduling.due.line_states import WORDS
from scheduling.due.sentences import DueWording, headline, meter_word
from scheduling.due.worth_reading import WorthReading, worth_reading
from scheduling.models import State

STATE_FIELDS = (
    "state", "headline", "due_point_id", "next_due", "missing", "computed_for",
    "reading_kind", "reading_gain", "reading_why",
)  # fmt: skip
"""Fields of a machine's state beside the machine, in the order of `state_rows`."""


def state_rows(
    outcome: Consequences, said: list[DueWording], due_points: dict[tuple[int, int], int]
) -> dict[tuple[int], tuple[Any, ...]]:
    """Return (machine key,) -> values of `STATE_FIELDS`; due_points: their keys as written."""
    machines, lines = outcome.facts.machines, outcome.lines
    stands = np.flatnonzero(outcome.stands)
    worst = worst_states(outcome.state[stands], lines.machine[stands], len(machines))
    first = _first_lines(outcome, stands)
    held = {hold.machine: hold for hold in reversed(outcome.facts.holds)}
    lacks = missing(outcome)
    worth = worth_reading(outcome)
    rows = {}
    for i, pk in enumerate(machines.ids.tolist()):
        line = first.get(i)
        state = State.HELD if i in held else WORDS[DueState(worst[i])]
        head = headline(said[line]) if line is not None else "no service is set up"
        head = f"held: {held[i].reason}" if i in held else head
        key = None if line is None else due_points[pk, int(lines.service[line])]
        soonest = _soonest(said, outcome, i, stands)
        read = worth.get(i, WorthReading())
        rows[(pk,)] = (
            state, head[:200], key, soonest, lacks.get(i, ""), machines.day(i),
            read.kind, read.gain, read.why,
        )  # fmt: skip
    return rows


def _first_lines(outcome: Consequences, stands: np.ndarray) -> dict[int, int]:
    """Return each machine's worst line; of those alike the one that comes first."""
    lines, forecasts = outcome.lines, outcome.forecasts
    first = forecasts.first_days[stands, 1]
    left = np.nan_to_num(forecasts.remaining[stands], nan=np.inf)
    order = np.lexsort((
        lines.service[stands], left, first, -outcome.state[stands], lines.machine[stands],
    ))  # fmt: skip
    ranked = stands[order]
    owners, at = np.unique(lines.machine[ranked], return_index=True)
    return dict(zip(owners.tolist(), ranked[at].tolist(), strict=True))


def _soonest(
    said: list[DueWording], outcome: Consequences, machine: int, stands: np.ndarray
) -> date | None:
    """Return the median day of the machine's first service to fall due."""
    low, high = np.searchsorted(outcome.lines.machine[stands], [machine, machine + 1])
    days = [said[line].p50 for line in stands[low:high].tolist()]
    return min((day for day in days if day is not None), default=None)


def missing(outcome: Consequences) -> dict[int, str]:
    """Say for each machine what is lacking, as a part of a sentence of at most 200 characters."""
    lacks: dict[int, list[str]] = {}

    def say(machine: int, sentence: str) -> None:
        lacks.setdefault(machine, []).append(sentence)

    _meters_missing(outcome, say)
    _rules_missing(outcome, say)
    return {machine: _sentence(parts) for machine, parts in lacks.items()}


def _sentence(parts: list[str]) -> str:
    text = "; ".join(dict.fromkeys(parts))
    return text[:200]


def _meters_missing(outcome: Consequences, say: Any) -> None:
    """Name the meters that are wanted and not fitted, not read, or not to be believed."""
    facts, lines = outcome.facts, outcome.lines
    wanted = {
        (int(machine), str(kind))
        for machine, kind in zip(lines.machine, lines.kind, strict=True)
        if kind
    }
    for machine, makeup in enumerate(facts.machines.makeup.tolist()):
        wanted |= {(machine, kind) for kind in facts.rules.expected.get(makeup, ())}
    for machine, kind in sorted(wanted):
        word = meter_word(kind)
        use = outcome.uses.get(kind)
        local = -1 if use is None else int(use.local[machine])
        if use is None or local < 0:
            say(machine, f"no {word} is on record; fit one on the machine's page")
        elif use.meters.unread[local]:
            say(machine, f"no reading of its {word} yet; the forecast is that of its class")
        elif np.isnan(use.read_life[local]):
            say(machine, f"no reading of its {word} can be trusted; read it again")


def _rules_missing(outcome: Consequences, say: Any) -> None:
    """Name machines without services, without a start, and intervals that cannot be met."""
    facts, lines, points = outcome.facts, outcome.lines, outcome.points
    served = np.bincount(lines.machine[lines.interval > 0], minlength=len(facts.machines))
    for machine in np.flatnonzero(served == 0).tolist():
        say(machine, "no service interval is set up for it; add one in Set-up")
    lost = points.start_unknown & points.due_at_once
    no_start = lost & np.isnat(facts.machines.started[lines.machine])
    for machine in np.unique(lines.machine[no_start]).tolist():
        say(machine, "no start date, so services with no record count as due")
    broken: dict[int, list[str]] = {}
    for line in np.flatnonzero(outcome.rules.broken).tolist():
        name = facts.rules.services[int(lines.service[line])]["name"]
        broken.setdefault(int(lines.machine[line]), []).append(name)
    for machine, names in broken.items():
        say(machine, f"the interval of {joined(names)} cannot be met; correct it in Set-up")
