"""How many machines stand in each state."""

import pytest

from fleet.models import Machine
from scheduling.models import State
from scheduling.queries.fleet_state import (
    WORST_FIRST,
    gravity,
    in_state,
    lacking,
    state_counts,
)
from tests import consequences, factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


def test_states_are_counted_worst_first_and_every_one_is_named():
    consequences.MachineState(state=State.HELD)
    consequences.MachineState(state=State.CLEAR)
    counts = state_counts(Machine.objects.all())
    assert list(counts) == ["held", "overdue", "due", "coming", "clear", "unknown"]
    assert (counts["held"], counts["clear"], counts["due"]) == (1, 1, 0)


def test_a_machine_never_worked_out_is_not_known_and_a_retired_one_does_not_count():
    fresh = factories.Machine()
    factories.Machine(retired_on=TODAY)
    assert state_counts(Machine.objects.all())[State.UNKNOWN] == 1
    assert fresh in in_state(Machine.objects.all(), State.UNKNOWN)


def test_gravity_orders_the_worst_first():
    for state in reversed(WORST_FIRST):
        consequences.MachineState(state=state)
    rows = Machine.objects.annotate(rank=gravity("now__state")).order_by("rank")
    assert tuple(rows.values_list("now__state", flat=True)) == WORST_FIRST


def test_machines_that_lack_something_are_found():
    short = consequences.MachineState(missing="no reading yet")
    consequences.MachineState()
    assert list(lacking(Machine.objects.all())) == [short]
