"""When is each service next due? Pure functions on whole arrays.

``anchors`` says how the next due point follows from the last service, ``interval_rules`` what is
known of each line, ``next_due`` works the due points out, ``states_on_day`` says what they mean on
a day. ``windows``, ``season_dates``, ``included_services``, ``idle`` and ``wear`` have one rule
each. Nothing here reads a clock.
"""

from scheduling.core.intervals.anchors import AnchorRule
from scheduling.core.intervals.done_on_time import judge_on_time
from scheduling.core.intervals.idle import idle_too_long
from scheduling.core.intervals.included_services import covering, with_covered
from scheduling.core.intervals.interval_rules import CalendarRules, MeterRules, ServicesDone
from scheduling.core.intervals.month_arithmetic import add_months, day_of_month, end_of_month
from scheduling.core.intervals.next_due import DuePoints, due_points
from scheduling.core.intervals.states_on_day import (
    LOOK_AHEAD,
    DueState,
    barred,
    due_states,
    worst_states,
)
from scheduling.core.intervals.wear import Measurements, WearLimit, limit_life, limit_reached
from scheduling.core.intervals.windows import allowance, allowance_days, nominal_length

__all__ = [
    "LOOK_AHEAD",
    "AnchorRule",
    "CalendarRules",
    "DuePoints",
    "DueState",
    "Measurements",
    "MeterRules",
    "ServicesDone",
    "WearLimit",
    "add_months",
    "allowance",
    "allowance_days",
    "barred",
    "covering",
    "day_of_month",
    "due_points",
    "due_states",
    "end_of_month",
    "idle_too_long",
    "judge_on_time",
    "limit_life",
    "limit_reached",
    "nominal_length",
    "with_covered",
    "worst_states",
]
