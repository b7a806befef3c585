"""Work laid down before it is done."""

import pytest

from fleet.actions.lay_down_work import LaidDown, lay_down
from fleet.models import Progress
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def laid(**given) -> LaidDown:
    person = factories.Mechanic()
    fields = {
        "machine": factories.Machine(), "work_key": "f:1", "done_by": person,
        "minutes": 60, "minutes_left": 90, "note": " head off ", "form_key": "k",
    }  # fmt: skip
    return LaidDown(**fields | given)


def test_what_is_left_and_what_lies_open_is_written_down():
    said = laid()
    row = lay_down(said, by=None, now=NOON)
    assert (row.minutes, row.minutes_left, row.note, row.at) == (60, 90, "head off", NOON)
    assert row.done_by == said.done_by


def test_a_form_sent_twice_is_one_word():
    said = laid()
    assert lay_down(said, by=None, now=NOON) == lay_down(said, by=None, now=NOON)
    assert Progress.objects.count() == 1


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"minutes": 0}, "minutes"),
        ({"minutes": 1441}, "minutes"),
        ({"minutes_left": 0}, "minutes_left"),
        ({"minutes_left": 30_001}, "minutes_left"),
    ],
)
def test_minutes_that_cannot_be_are_refused(given, field):
    with pytest.raises(Refusal) as refused:
        lay_down(laid(**given), by=None, now=NOON)
    assert refused.value.field == field
