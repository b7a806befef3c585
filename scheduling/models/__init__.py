"""Consequences, one file a subject.  Every row can be dropped and rebuilt from facts."""

from scheduling.models.blocks import Block
from scheduling.models.calendar import CalendarDay
from scheduling.models.due import DuePoint, MachineState, State, UseModel
from scheduling.models.errands import Errand, NightlyRun, Notice
from scheduling.models.forecasts import KeptForecast, RangeLevels
from scheduling.models.plans import Plan, PlannedJob, PlannedWork
from scheduling.models.trials import PlanSearch, Trial

__all__ = [
    "Block",
    "CalendarDay",
    "DuePoint",
    "Errand",
    "KeptForecast",
    "MachineState",
    "NightlyRun",
    "Notice",
    "Plan",
    "PlanSearch",
    "PlannedJob",
    "PlannedWork",
    "RangeLevels",
    "State",
    "Trial",
    "UseModel",
]
