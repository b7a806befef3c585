"""Tags as they are typed with gloves on."""

import pytest

from fleet.models import Machine
from fleet.queries.bare_tag import with_bare_tag
from fleet.queries.machine_called import sought_by_label
from fleet.queries.rounds import _sought
from scheduling.queries.machine_list import Narrowing, narrowed
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def quads():
    return [factories.Machine(tag=tag) for tag in ("Q-15", "Q-150", "T-7")]


@pytest.mark.parametrize("typed", ["Q-15", "q-15", "q15", "Q 15", "q.15", "15"])
def test_a_machine_is_found_by_its_tag_however_it_is_typed(quads, typed):
    assert sought_by_label(Machine.objects.all(), typed) == quads[0]


@pytest.mark.parametrize("typed", ["1", "q", "-", "", "q-1500"])
def test_what_is_no_tag_finds_no_machine(quads, typed):
    assert sought_by_label(Machine.objects.all(), typed) is None


def test_a_number_that_two_machines_have_is_neither(quads):
    factories.Machine(tag="T-15")
    assert sought_by_label(Machine.objects.all(), "15") is None
    assert with_bare_tag(Machine.objects.all(), "15").count() == 2
    assert sought_by_label(Machine.objects.all(), "t15").tag == "T-15"


@pytest.mark.parametrize(("typed", "count"), [("q15", 2), ("q150", 1), ("q-15", 2), ("-", 3)])
def test_lists_are_narrowed_by_tags_without_hyphens_too(quads, typed, count):
    assert narrowed(Machine.objects.all(), Narrowing(text=typed)).count() == count
    meters = [factories.Meter(machine=quad) for quad in quads]
    assert _sought(type(meters[0]).objects.all(), typed).count() == count
