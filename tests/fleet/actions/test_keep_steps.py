"""One step changed, added, moved or taken out; the others stay in order."""

import pytest

from fleet.actions.keep_steps import keep_step, take_out_step
from fleet.models import LoggedChange, ServiceStep
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def service():
    row = make.Service()
    for number, text in enumerate(("A", "B", "C"), start=1):
        ServiceStep.objects.create(service=row, position=number, text=text)
    return row


def order(service):
    rows = service.steps.order_by("position")
    assert [row.position for row in rows] == list(range(1, len(rows) + 1))
    return "".join(row.text for row in rows)


@pytest.mark.parametrize(("at", "wanted"), [(1, "XABC"), (3, "ABXC"), (0, "ABCX"), (99, "ABCX")])
def test_a_new_step_comes_where_it_is_wanted(service, at, wanted):
    step = ServiceStep(service=service, position=at, text="X")
    keep_step(step, by=make.Person(), now=NOON)
    assert order(service) == wanted
    assert step.key


def test_a_step_is_moved_and_said_anew(service):
    step = service.steps.get(text="C")
    key, step.position, step.text = step.key, 1, "c"
    keep_step(step, by=make.Person(), now=NOON)
    assert order(service) == "cAB"
    assert service.steps.get(text="c").key == key
    values = {one["field"]: (one["old"], one["new"]) for one in LoggedChange.objects.get().values}
    assert values == {"position": ("3", "1"), "text": ("C", "c")}


def test_a_step_is_taken_out_with_its_words_in_the_log(service):
    take_out_step(service.steps.get(text="B"), by=make.Person(), now=NOON)
    assert order(service) == "AC"
    assert "B" in {one["old"] for one in LoggedChange.objects.get().values}
