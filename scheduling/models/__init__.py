"""Consequences, one file a subject.  Every row can be dropped and rebuilt from facts."""

from scheduling.models.blocks import Block
from scheduling.models.calendar_revisions import CalendarDay
from scheduling.models.due_points import DuePoint, MachineState, State, UseModel
from scheduling.models.forecasts import KeptForecast, RangeLevels
from scheduling.models.hindsights import Hindsight
from scheduling.models.kept_copies import KeptCopy
from scheduling.models.letter_choices import LetterChoice, LetterHours
from scheduling.models.nightly_runs import NightlyRun
from scheduling.models.notices import Notice
from scheduling.models.outbox import OutboxEntry
from scheduling.models.plans import Plan, PlannedJob, PlannedWork
from scheduling.models.told_risks import ToldRisk
from scheduling.models.trials import PlanSearch, Trial

__all__ = [
    "Block",
    "CalendarDay",
    "DuePoint",
    "Hindsight",
    "KeptCopy",
    "KeptForecast",
    "LetterChoice",
    "LetterHours",
    "MachineState",
    "NightlyRun",
    "Notice",
    "OutboxEntry",
    "Plan",
    "PlanSearch",
    "PlannedJob",
    "PlannedWork",
    "RangeLevels",
    "State",
    "ToldRisk",
    "Trial",
    "UseModel",
]
