"""A booking that depends on work: the plan sees what it is worth, and does the work before it."""

from datetime import timedelta

import pytest

from fleet.actions.make_bookings import NewBooking
from fleet.models import Role
from scheduling.actions.book_and_check_out import Decision, book_unless_blocked
from scheduling.availability.three_answers import Answer
from scheduling.due.refresh import refresh
from scheduling.models import PlannedWork
from scheduling.plan import plan_shop
from scheduling.plan.shop_problem import instance, load_shop
from scheduling.queries.may_go_out import may_go_out
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db
FIRST, LAST = TODAY + timedelta(days=10), TODAY + timedelta(days=13)


def planned_day(machine):
    return PlannedWork.objects.get(machine=machine).job.day


def test_the_plan_moves_the_work_before_the_booking_that_depends_on_it(
    shop, mechanic, due_in, refreshed
):
    machine = due_in(11)
    refreshed()
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) == TODAY + timedelta(days=11)
    said = may_go_out(machine, FIRST, LAST, TODAY)
    assert said.kind == Answer.AFTER_WORK
    assert "to be moved to" in said.sentence

    desk = make.Person(role=Role.DESK)
    booking = book_unless_blocked(
        NewBooking(machine, FIRST, LAST, "Alder Creek", 400), Decision(desk, NOW)
    )
    assert not booking.overrides.exists()
    refresh({machine.pk}, NOW)
    (seen,) = instance(load_shop(shop, NOW))["machines"]
    assert seen["bookings"] == [
        {"id": str(booking.pk), "first_day": 10, "last_day": 13, "value": 400.0}
    ]
    plan_shop(shop, NOW, seconds=2)
    assert planned_day(machine) < FIRST
    kept = may_go_out(machine, FIRST, LAST, TODAY, but=booking)
    assert kept.kind == Answer.AFTER_WORK
    assert kept.ready_from == planned_day(machine) + timedelta(days=1)
