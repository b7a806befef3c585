"""Single days that go otherwise than usual, with who said so and when."""

from datetime import timedelta

import pytest

from fleet.actions.change_shop_days import SaidBy, allow_overtime, close_day, note_absence, open_day
from fleet.models import Absence, ClosedDay, OpenDay, OvertimeDay
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def said():
    return SaidBy(factories.Person(), NOON, "county fair")


def test_a_day_closed_twice_is_closed_once_with_who_and_when(said):
    for _ in range(2):
        close_day(said.by.shop, TODAY, said)
    row = ClosedDay.objects.get()
    assert (row.day, row.reason, row.by, row.at) == (TODAY, "county fair", said.by, NOON)


def test_closing_takes_back_that_a_day_is_open(said):
    open_day(said.by.shop, TODAY, 5, said)
    close_day(said.by.shop, TODAY, said)
    assert list(OpenDay.objects.values_list("hours", flat=True)) == [5, 0]


@pytest.mark.parametrize(("do", "model"), [(open_day, OpenDay), (allow_overtime, OvertimeDay)])
def test_the_same_hours_said_again_add_nothing_and_others_stand_beside(said, do, model):
    for hours in (4, 4, 6):
        do(said.by.shop, TODAY, hours, said)
    assert list(model.objects.values_list("hours", "by")) == [(4, said.by.pk), (6, said.by.pk)]


@pytest.mark.parametrize(
    ("do", "hours", "sentence"),
    [
        (open_day, 0, "up to 24"),
        (open_day, 25, "up to 24"),
        (allow_overtime, -1, "from 0 to 12"),
        (allow_overtime, 13, "from 0 to 12"),
    ],
)
def test_hours_that_cannot_be_are_refused(said, do, hours, sentence):
    with pytest.raises(Refusal, match=sentence):
        do(said.by.shop, TODAY, hours, said)


def test_an_absence_is_noted_once(said):
    mechanic, last = factories.Mechanic(), TODAY + timedelta(days=2)
    for _ in range(2):
        note_absence(mechanic, TODAY, last, said)
    assert Absence.objects.get(person=mechanic, last_day=last).by == said.by
    with pytest.raises(Refusal, match="swap them"):
        note_absence(mechanic, last, TODAY, said)
