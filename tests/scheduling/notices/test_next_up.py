"""A warning that nobody answers goes to the next person up, once."""

from datetime import timedelta

import pytest

from fleet.models import Override
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


def held(people, machine, by, **fields):
    hold = factories.Hold(machine=machine, placed_by=by, reason="boom cracked")
    kind = fields.pop("kind", "held")
    notices = [
        consequences.Notice(
            kind=kind, person=one, shop=machine.yard.shop, hold=hold, sent_at=NOON, **fields
        )
        for one in people
    ]
    return hold, notices


@pytest.fixture
def owner(shop):
    return factories.Person(username="olga", role="owner", shop=None)


def test_a_hold_that_nobody_answers_goes_to_those_above_who_had_the_first_letter(
    machine, desk, manager, mechanic, owner
):
    _, notices = held([desk, manager, owner], machine, mechanic)
    assert told(LATER - HOUR) == (0, [])
    assert told(LATER) == (1, [("olga", notices[0].pk)])
    assert told(LATER + HOURS * HOUR)[0] == 0
    text = Notice.objects.get(kind="unanswered").text
    assert "and none of them said that it is in hand" in text


def test_where_nobody_stands_above_nobody_is_told_twice(machine, manager, mechanic):
    held([manager], machine, mechanic)
    assert told(LATER) == (0, [])


def test_whoever_hung_it_is_not_told_of_their_own(machine, manager, owner):
    held([manager], machine, owner)
    assert told(LATER) == (0, [])


def test_a_released_hold_is_no_warning_any_more(machine, desk, manager, mechanic, owner):
    hold, _ = held([manager], machine, mechanic)
    hold.released_at = NOON
    hold.save()
    assert told(LATER) == (0, [])


@pytest.mark.parametrize(("safety", "made"), [(True, 1), (False, 0)])
def test_a_release_waits_for_an_answer_where_it_was_hung_for_safety(
    safety, made, machine, manager, mechanic, owner
):
    hold, _ = held([manager], machine, mechanic, kind="released")
    hold.safety, hold.released_at, hold.released_by = safety, NOON, mechanic
    hold.save()
    assert told(LATER)[0] == made


@pytest.mark.parametrize(
    ("fields", "made"), [({}, 1), ({"seen_at": NOON}, 0), ({"struck": True}, 0)]
)
def test_a_decision_against_a_block_goes_up_until_somebody_looked_at_it(
    fields, made, machine, desk, manager, owner
):
    booking = factories.Booking(machine=machine)
    override = Override.objects.create(
        booking=booking, machine=machine, by=desk, at=NOON, against="overdue", reason="", **fields
    )
    consequences.Notice(
        kind="override", person=manager, booking=booking, override=override, sent_at=NOON
    )
    assert told(LATER)[0] == made


def test_a_machine_that_is_not_back_goes_up_until_it_is(machine, desk, manager):
    late = consequences.Notice(
        kind="late", person=desk, booking=factories.Booking(machine=machine), sent_at=NOON
    )
    assert told(LATER) == (1, [("mara", late.pk)])
    Notice.objects.filter(kind="unanswered").delete()
    Notice.objects.filter(pk=late.pk).update(over_at=LATER)
    assert told(LATER) == (0, [])


def test_a_letter_told_in_the_morning_counts_from_then(machine, desk, manager):
    digest = consequences.Notice(kind="digest", person=desk, sent_at=NOON + HOUR)
    consequences.Notice(
        kind="late", person=desk, booking=factories.Booking(machine=machine), told_in=digest
    )
    assert told(LATER) == (0, [])
    assert told(LATER + HOUR)[0] == 1


def test_queries_do_not_grow_with_what_is_open(
    machine, desk, manager, mechanic, owner, django_assert_max_num_queries
):
    for _ in range(12):
        held([desk, manager], machine, mechanic)
    with django_assert_max_num_queries(5):
        assert told(LATER - HOUR)[0] == 0
