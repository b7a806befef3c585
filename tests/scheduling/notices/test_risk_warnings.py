"""Warnings to the desk: in time, once for each cause, again when it becomes so again.

The booking runs from Thursday 5 to Sunday 8 March; the shop warns three days before.
"""

from datetime import timedelta

import pytest

from fleet.models import HandOver
from scheduling.models import Block, Notice
from scheduling.notices.risk_warnings import warn_of_risks
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.scheduling.said import said

DAY = timedelta(days=1)


@pytest.fixture
def block(booking, desk):
    """The machine falls due on the second day of its booking."""
    return falls_due(booking)


def falls_due(booking, **more):
    return consequences.Block(
        machine=booking.machine, booking=booking, kind=Block.Kind.FALLS_DUE,
        first_day=booking.first_day, last_day=booking.last_day, **more,
    )  # fmt: skip


def test_the_desk_is_told_what_why_and_where_to_look(shop, block, desk):
    assert warn_of_risks(shop, NOON) == 1
    notice = Notice.objects.get()
    assert (notice.person, notice.kind) == (desk, Notice.Kind.AT_RISK)
    assert notice.subject == (
        "SL-04 falls due before it is back: Alder Creek fencing, Thu 5 Mar to Sun 8 Mar"
    )
    for words in (said(block), "It is to go out in 3 days.", "[>] coming due: SL-04",
                 "http://127.0.0.1:8000/machines/SL-04"):  # fmt: skip
        assert words in notice.text
    assert "<strong>Alder Creek fencing</strong>" in notice.html


def test_a_booking_that_is_further_away_is_told_in_time(shop, block):
    assert warn_of_risks(shop, NOON - DAY) == 0
    assert warn_of_risks(shop, NOON) == 1


def test_the_days_of_warning_are_those_of_the_shop(shop, block):
    shop.warn_days = 10
    assert warn_of_risks(shop, NOON - 7 * DAY) == 1


def test_night_after_night_the_same_cause_is_told_once(shop, block):
    assert [warn_of_risks(shop, NOON + n * DAY) for n in range(4)] == [1, 0, 0, 0]


def test_a_rebuilt_block_is_the_same_cause(shop, block, booking):
    warn_of_risks(shop, NOON)
    due_point = block.due_point
    block.delete()
    falls_due(booking, due_point=due_point)
    assert warn_of_risks(shop, NOON) == 0


def test_a_risk_that_comes_back_is_a_new_cause(shop, block, booking):
    due_point = block.due_point
    for round_number in range(3):
        assert warn_of_risks(shop, NOON) == 1, round_number
        block.delete()
        assert warn_of_risks(shop, NOON) == 0
        assert not Notice.objects.filter(over_at=None).exists()
        block = falls_due(booking, due_point=due_point)
    assert Notice.objects.count() == 3


def test_a_risk_that_grows_worse_is_a_new_cause(shop, block):
    warn_of_risks(shop, NOON)
    block.kind = Block.Kind.LIMIT
    block.hard = True
    block.save()
    assert warn_of_risks(shop, NOON) == 1
    worse = Notice.objects.get(over_at=None)
    assert worse.subject.startswith("SL-04 may not go out and is booked")
    assert "nobody can override it" in worse.text


def test_it_is_told_at_once_where_it_becomes_so_late(shop, booking, desk):
    assert warn_of_risks(shop, NOON + 2 * DAY) == 0
    falls_due(booking)
    assert warn_of_risks(shop, NOON + 2 * DAY, [booking.machine_id]) == 1


def test_a_machine_that_is_out_already_can_become_a_risk(shop, block, booking):
    HandOver.objects.create(booking=booking, direction=HandOver.Direction.OUT, at=NOON)
    assert warn_of_risks(shop, NOON + 4 * DAY) == 1
    assert "It is out now." in Notice.objects.get().text


@pytest.mark.parametrize(
    ("kind", "subject"),
    [
        (Block.Kind.HOLD, "SL-04 is held and out: "),
        (Block.Kind.LIMIT, "SL-04 is out past a hard limit: "),
        (Block.Kind.OVERDUE, "SL-04 is overdue and out: "),
        (Block.Kind.IDLE, "SL-04 has sat too long and is out: "),
    ],
)
def test_the_subject_says_that_a_machine_is_out(shop, booking, desk, kind, subject):
    HandOver.objects.create(booking=booking, direction=HandOver.Direction.OUT, at=NOON)
    consequences.Block(machine=booking.machine, kind=kind)
    warn_of_risks(shop, NOON)
    assert Notice.objects.get().subject.startswith(subject)


@pytest.mark.parametrize("how", ["cancelled", "back", "over"])
def test_a_booking_that_no_longer_stands_is_not_warned_of(shop, block, booking, how):
    now = NOON
    if how == "cancelled":
        booking.cancelled_at = NOON
        booking.save()
    elif how == "back":
        HandOver.objects.create(booking=booking, direction=HandOver.Direction.BACK, at=NOON)
    else:
        now = NOON + 7 * DAY
    assert warn_of_risks(shop, now) == 0


def test_other_machines_are_left_alone_when_one_is_looked_at(shop, block, booking):
    warn_of_risks(shop, NOON)
    other = factories.Machine(yard=booking.machine.yard)
    Block.objects.all().delete()
    warn_of_risks(shop, NOON, [other.pk])
    assert Notice.objects.get().over_at is None
    warn_of_risks(shop, NOON, [booking.machine_id])
    assert Notice.objects.get().over_at == NOON


@pytest.mark.parametrize(
    ("day", "said"),
    [(TODAY + DAY, None), (TODAY + 8 * DAY, "No shop day before it goes out")],
    ids=["planned before", "planned after"],
)
def test_a_booking_is_warned_of_where_the_plan_does_not_save_it(
    shop, booking, desk, mechanic, day, said
):
    block = consequences.Block(machine=booking.machine, kind=Block.Kind.OVERDUE)
    consequences.PlannedWork(
        job__plan__shop=shop, job__machine=block.machine, job__day=day, job__mechanic=mechanic,
        service=block.due_point.service,
    )  # fmt: skip
    warn_of_risks(shop, NOON)
    assert [said in one.text for one in Notice.objects.all()] == ([True] if said else [])


def test_words_from_people_are_shown_as_text_in_both_letters(shop, block, booking):
    booking.customer = "Fence & Post <b>\nBcc: all@example.org"
    booking.save()
    warn_of_risks(shop, NOON)
    notice = Notice.objects.get()
    assert "\n" not in notice.subject
    assert "Fence & Post <b>" in notice.text
    assert "Fence &amp; Post &lt;b&gt;" in notice.html


def test_queries_do_not_grow_with_the_fleet(shop, block, booking, django_assert_num_queries):
    warn_of_risks(shop, NOON)
    for _ in range(20):
        other = factories.Booking(machine__yard=booking.machine.yard)
        consequences.Block(machine=other.machine, kind=Block.Kind.IN_SHOP)
    with django_assert_num_queries(3):
        assert warn_of_risks(shop, NOON) == 0
