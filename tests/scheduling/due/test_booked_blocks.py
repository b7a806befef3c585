"""What is said of bookings during which services fall due."""

from datetime import date, timedelta

import pytest

from fleet.models import HandOver
from scheduling.due.booked_blocks import write_booked
from scheduling.facts.scope import Scope
from scheduling.models import Block, DuePoint, Plan, PlannedJob, PlannedWork
from scheduling.queries.said_blocks import said_blocks
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def booking():
    return make.Booking()  # Thursday 5 to Sunday 8 March


def due(booking, days, name="Oil change", **fields):
    service = make.Service(name=name, **fields)
    day = TODAY + timedelta(days=days)
    return DuePoint.objects.create(machine=booking.machine, service=service, p50=day)


def planned(point, days):
    shop = point.machine.yard.shop
    plan, _ = Plan.objects.get_or_create(
        shop=shop, defaults={"made_at": NOW, "first_day": TODAY, "days": 28}
    )
    job = PlannedJob.objects.create(
        plan=plan, machine=point.machine, day=TODAY + timedelta(days=days),
        mechanic=make.Mechanic(shop=shop), minutes=90,
    )  # fmt: skip
    PlannedWork.objects.create(
        plan=plan, job=job, machine=point.machine, service=point.service, due_point=point,
        work_key=point.work_key, minutes=60,
    )  # fmt: skip


def said(booking, now=NOW):
    write_booked(Scope(booking.machine.yard.shop_id), now)
    return sentences(Block.Kind.FALLS_DUE)


def sentences(kind):
    blocks = list(Block.objects.filter(kind=kind))
    return list(said_blocks(blocks, TODAY).values())


def test_service_planned_before_it_goes_out(booking):
    planned(due(booking, 4), 2)
    assert said(booking) == [
        "Oil change falls due from about Fri 6 Mar, back Sun 8 Mar. "
        "Planned for Wed 4 Mar, before it goes out Thu 5 Mar."
    ]


def test_service_planned_too_late_is_as_none(booking):
    planned(due(booking, 0), 3)
    assert said(booking) == [
        "Oil change is due now, back Sun 8 Mar. No shop day before it goes out Thu 5 Mar for "
        "Oil change: pin it to an earlier day, or give the customer another machine."
    ]


def test_many_services_are_counted(booking):
    for number in range(5):
        due(booking, 4, name=f"Service {number}")
    (sentence,) = said(booking)
    assert sentence.startswith("Service 0, Service 1 and Service 2 and 2 more fall due")
    assert [work["service"] for work in Block.objects.get().works] == list(
        DuePoint.objects.order_by("pk").values_list("service", flat=True)
    )


@pytest.mark.parametrize(
    ("days", "fields"),
    [
        (7, {}),  # the day after it is back
        (4, {"blocks_rental": False}),
    ],
)
def test_services_that_do_not_matter_to_the_booking(booking, days, fields):
    due(booking, days, **fields)
    assert said(booking) == []


def test_day_of_the_yard_decides_whether_a_booking_is_over(booking):
    booking.first_day, booking.last_day = date(2026, 2, 20), date(2026, 3, 1)
    booking.save()
    due(booking, -9)
    early = NOW - timedelta(hours=3)
    assert said(booking, early) == []
    booking.machine.yard.time_zone = "Pacific/Pago_Pago"  # eleven hours behind: 1 March, 22:00
    booking.machine.yard.save()
    assert len(said(booking, early)) == 1


def test_days_in_the_shop_from_the_plan(booking):
    planned(due(booking, 4), 2)
    said(booking)
    block = Block.objects.get(kind=Block.Kind.IN_SHOP)
    assert block.first_day == block.last_day == TODAY + timedelta(days=2)
    assert sentences(Block.Kind.IN_SHOP)[0].endswith("for service, 1.5 h of work.")
    PlannedJob.objects.all().delete()
    said(booking)
    assert not Block.objects.filter(kind=Block.Kind.IN_SHOP).exists()


def in_shop(booking):
    said(booking)
    words = sentences(Block.Kind.IN_SHOP)
    return [
        (block.first_day - TODAY, (block.last_day or block.first_day) - TODAY, sentence)
        for block, sentence in zip(Block.objects.filter(kind="shop"), words, strict=True)
    ]


def days(number):
    return timedelta(days=number)


def test_a_visit_over_several_days_blocks_them_all(booking):
    planned(due(booking, 4), 2)
    PlannedJob.objects.update(last_day=TODAY + days(4), minutes=1200)
    ((first, last, sentence),) = in_shop(booking)
    assert (first, last) == (days(2), days(4))
    assert sentence.endswith("for service until Fri 6 Mar, 20 h of work.")


def test_a_visit_that_began_before_today_still_blocks(booking):
    planned(due(booking, 4), -1)
    PlannedJob.objects.update(last_day=TODAY + days(1))
    assert in_shop(booking)[0][:2] == (days(-1), days(1))
    PlannedJob.objects.update(last_day=TODAY - days(1))
    assert in_shop(booking) == []


def test_a_machine_that_stands_open_may_not_go_out_from_now_on(booking):
    planned(due(booking, 4), 2)
    PlannedWork.objects.update(begun=True)
    ((first, last, sentence),) = in_shop(booking)
    assert (first, last) == (days(0), days(2))
    assert sentence.startswith("Work on it is under way in ")
    assert sentence.endswith(" until Wed 4 Mar, 1.5 h are left.")


def test_a_service_counts_as_done_when_a_long_visit_ends(booking):
    """It goes out on Thursday, and the visit of Tuesday ends that day."""
    planned(due(booking, 4), 1)
    assert "Planned for Tue 3 Mar" in said(booking)[0]
    PlannedJob.objects.update(last_day=TODAY + days(3))
    assert "No shop day before it goes out" in said(booking)[0]


@pytest.mark.parametrize(
    ("first", "way"),
    [
        (0, "It is to go out today and has not been handed over: do the work first, or give the"
            " customer another machine."),
        (-2, "It was to go out Sat 28 Feb and has not been handed over: do the work first, or give"
             " the customer another machine."),
    ],
)  # fmt: skip
def test_due_out_but_still_in_the_yard_is_not_said_to_be_out(booking, first, way):
    booking.first_day = TODAY + days(first)
    booking.save()
    due(booking, 4)
    assert said(booking)[0].endswith(way)
    out = HandOver.objects.create(booking=booking, direction="out", at=NOW)
    assert said(booking)[0].endswith(
        "It has gone out already: have it brought in, or swap the machine."
    )
    out.struck_at = NOW
    out.save()
    assert said(booking)[0].endswith(way)
