"""All that is worked out for the machines of a run, before any of it is written."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.core.intervals import DuePoints, DueState, due_points
from scheduling.due.line_forecasts import Forecasts, forecast_lines
from scheduling.due.line_rules import LineRules, line_rules
from scheduling.due.line_states import drivers, line_states, maybe_due
from scheduling.due.lines import (
    Lines,
    days_of,
    lives_at_records,
    make_lines,
    services_done,
)
from scheduling.due.meter_use import KindUse
from scheduling.due.triggers import Triggers, find_triggers
from scheduling.facts.load_facts import Facts
from scheduling.facts.yard_days import Days, Flags, Ints


@dataclass(frozen=True)
class Consequences:
    """Lines and everything that follows for each; arrays (l,).

    state: a `DueState`, chance counted in; maybe: due by chance, not by any reading; stands:
    there is something to show (a line that neither interval nor trigger makes is left out).
    """

    facts: Facts
    uses: dict[str, KindUse]
    lines: Lines
    rules: LineRules
    points: DuePoints
    triggers: Triggers
    forecasts: Forecasts
    last_done: Days
    driver: NDArray[np.str_]
    state: Ints
    maybe: Flags
    stands: Flags


def work_out(facts: Facts, uses: dict[str, KindUse]) -> Consequences:
    """Work due points, forecasts and states out for all lines of the facts."""
    lines = make_lines(facts, uses)
    rules = line_rules(facts, lines, uses)
    lives = {kind: lives_at_records(facts, use) for kind, use in uses.items()}
    done, latest = services_done(facts, lines, lives)
    triggers = find_triggers(facts, lines, latest, rules.idle_months, uses)
    points = triggers.applied(due_points(rules.meter, rules.calendar, done))
    forecasts = forecast_lines(facts, lines, points, uses)
    shown = line_states(facts, lines, points, forecasts)
    maybe = maybe_due(forecasts, shown)
    return Consequences(
        facts=facts,
        uses=uses,
        lines=lines,
        rules=rules,
        points=points,
        triggers=triggers,
        forecasts=forecasts,
        last_done=days_of(latest),
        driver=drivers(lines, rules, points, forecasts, triggers),
        state=np.where(maybe, DueState.DUE, shown),
        maybe=maybe,
        stands=(lines.interval > 0) | triggers.at_once | ~np.isnan(triggers.wear_life),
    )
