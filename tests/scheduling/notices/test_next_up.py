"""A warning that nobody answers goes to the next person up, once."""

from datetime import timedelta

import pytest

from scheduling.actions.choose_letters import answer_notice
from scheduling.models import LetterHours, Notice
from scheduling.notices.next_up import HOURS, tell_next_up
from tests import consequences, factories
from tests.factories import NOON

HOUR = timedelta(hours=1)
LATER = NOON + HOURS * HOUR


@pytest.fixture
def warned(desk, manager, shop):
    booking = factories.Booking(machine__yard__shop=shop)
    return consequences.Notice(
        kind="risk", person=desk, booking=booking, block_kind="overdue", sent_at=NOON,
        subject="SL-04 is overdue and booked",
    )  # fmt: skip


def told(now):
    made = tell_next_up(now)
    rows = Notice.objects.filter(kind="unanswered").order_by("pk")
    return made, [(one.person.username, one.about_id) for one in rows]


def test_after_the_time_set_the_manager_is_told_once_and_then_the_owner(warned, manager):
    owner = factories.Person(username="olga", shop=None)
    assert told(LATER - HOUR) == (0, [])
    assert told(LATER) == (1, [("mara", warned.pk)])
    assert told(LATER + HOUR)[0] == 0
    assert told(LATER + HOURS * HOUR) == (1, [("mara", warned.pk), ("olga", warned.pk)])
    assert told(LATER + 2 * HOURS * HOUR)[0] == 0
    assert owner.manages


def test_each_sets_the_time_for_themselves(warned, manager):
    LetterHours.objects.create(person=manager, unanswered_hours=2)
    assert told(NOON + 2 * HOUR)[0] == 1


def test_an_answer_of_one_of_them_is_enough(warned, manager, shop):
    other = factories.Person(username="dora", role="desk", shop=shop)
    same = consequences.Notice(
        kind="risk", person=other, booking=warned.booking, block_kind="overdue", sent_at=NOON
    )
    assert answer_notice(same, NOON)
    assert not answer_notice(warned, NOON)
    assert told(LATER) == (0, [])


def test_the_managers_answer_stops_it_too(warned, manager):
    factories.Person(username="olga", shop=None)
    tell_next_up(LATER)
    answer_notice(Notice.objects.get(kind="unanswered"), LATER)
    assert told(LATER + HOURS * HOUR)[0] == 0


@pytest.mark.parametrize("gone", [{"over_at": NOON}, {"sent_at": None}])
def test_what_is_over_or_was_not_sent_is_not_told_on(warned, manager, gone):
    Notice.objects.update(**gone)
    assert told(LATER) == (0, [])
