"""Procedures: the steps of a service as one machine asks for them, and the library of them.

A step names its numbers (the sump, a limit, a torque) and the build on which it is done; what a
machine's make-up and alterations say goes in when it is read, so that one procedure serves a quad
of 2.0 L and one of 2.3 L.
"""

from fleet.procedures.cautions_on_build import cautions_on_build, warned_on_build
from fleet.procedures.filled_step import (
    BY_THE_MANUAL,
    FilledStep,
    OnMachine,
    fill_steps,
    limits_for,
    show_fill,
)
from fleet.procedures.logged_fields import LOGGED_FIELDS
from fleet.procedures.needs_on_build import is_taken, needs_on_build, steps_on_build
from fleet.procedures.shown_picture import ShownPicture
from fleet.procedures.step_groups import in_groups
from fleet.procedures.steps_of_machines import (
    STEP_ROWS,
    on_machine,
    on_makeup,
    steps_for,
    traits_of,
    traits_of_machine,
)

__all__ = [
    "BY_THE_MANUAL",
    "LOGGED_FIELDS",
    "STEP_ROWS",
    "FilledStep",
    "OnMachine",
    "ShownPicture",
    "cautions_on_build",
    "fill_steps",
    "in_groups",
    "is_taken",
    "limits_for",
    "needs_on_build",
    "on_machine",
    "on_makeup",
    "show_fill",
    "steps_for",
    "steps_on_build",
    "traits_of",
    "traits_of_machine",
    "warned_on_build",
]
