"""Each way out of a booking pressed on the Yard, and what became of the booking and the plan.

Today is Monday 2 March 2026.  Two Sisters have booked Q-1 from Friday on, and its oil change is
overdue and planned for that very Friday; Q-2, of the same make-up, is free.
"""

import re
from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from fleet.models import Override, OvertimeDay, Pin, WorkingHours
from scheduling.models import Block, OutboxEntry, PlannedWork, State
from scheduling.worker.perform import perform_entry
from tests import consequences, factories
from tests.browser.conftest import PHONE
from tests.factories import NOON, TODAY
from tests.pages import at_noon  # noqa: F401  a fixture
from tests.scheduling.ways_case import ways_case

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("at_noon"),
]
DAY = timedelta(days=1)
NO_WAY = "1 booking at risk with no way yet"
SETTLED = "Every booking has its way"


@pytest.fixture
def case():
    return ways_case()


def yard(open_page, case, *size):
    """Open the Yard; the first booking without a way stands open there, on a phone once pressed."""
    page = open_page(case.shop.manager, reverse("yard"), *size)
    expect(page.locator(".answer")).to_contain_text(NO_WAY)
    if size:
        page.locator(f"#booking-{case.booking.pk} summary").click()
    expect(page.locator(f"#ways-{case.booking.pk}")).to_be_visible()
    return page


def press(page, name):
    page.locator("#at-risk").get_by_role("button", name=name).click()


def planned_again(page):
    """Do what the worker would do, and follow the page back to the Yard."""
    page.wait_for_url("**/planning/**")
    owed = OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN)
    assert perform_entry(owed.pk, NOON)
    page.wait_for_url(re.compile(r"/yard/\?shop=\d+$"))


def oil_change(case):
    """Return the oil change as it is planned now."""
    rows = PlannedWork.objects.select_related("job__mechanic")
    return rows.get(work_key=case.shop.work.work_key)


@pytest.mark.parametrize("size", [(), (PHONE,)], ids=["desk", "phone"])
def test_another_machine_takes_the_booking(open_page, case, size):
    page = yard(open_page, case, *size)
    press(page, "Give Q-2 instead")
    expect(page.locator("body")).to_contain_text("Two Sisters gets Q-2 in place of Q-1.")
    expect(page.locator("#at-risk")).to_contain_text(SETTLED)
    case.booking.refresh_from_db()
    assert (case.booking.machine, case.booking.customer) == (case.free, "Two Sisters")
    assert page.complaints == []


def test_the_work_is_done_on_a_sooner_shop_day(open_page, case):
    page = yard(open_page, case)
    press(page, "Do it on")
    planned_again(page)
    work = oil_change(case)
    assert work.job.day < case.booking.first_day
    assert Pin.objects.get(lifted_at=None).day == work.job.day
    assert not OvertimeDay.objects.exists()
    expect(page.locator(".answer")).to_contain_text("0 bookings at risk with no way yet")
    assert page.complaints == []


def test_the_work_is_done_in_overtime_where_no_hour_is_left(open_page, case):
    """An hour a day there is, an hour and a half it takes, and no overtime is allowed so far."""
    WorkingHours.objects.filter(person=case.shop.mechanic).update(hours=1)
    shop = case.free.yard.shop
    shop.overtime_limit_hours = 0
    shop.save()
    page = yard(open_page, case)
    expect(page.locator("#at-risk")).to_contain_text("30 min more than is allowed so far")
    press(page, "Do it on")
    planned_again(page)
    work = oil_change(case)
    assert work.job.day < case.booking.first_day
    allowed = OvertimeDay.objects.get()
    assert (allowed.day, allowed.hours, allowed.by) == (work.job.day, 0.5, case.shop.manager)
    assert page.complaints == []


def test_the_booking_is_made_shorter(open_page, case):
    """The oil change falls due on Sunday, in the middle of the hire."""
    Block.objects.all().delete()
    point = case.shop.work.due_point
    point.remaining, point.state = 30.0, "coming"
    point.p10 = point.p50 = point.p90 = TODAY + 6 * DAY
    point.save()
    consequences.Block(
        machine=case.shop.machine, kind=Block.Kind.FALLS_DUE, booking=case.booking,
        due_point=point, first_day=case.booking.first_day, last_day=case.booking.last_day,
    )  # fmt: skip
    booked_to = case.booking.last_day
    page = yard(open_page, case)
    press(page, "Have it back by")
    expect(page.locator("body")).to_contain_text("Two Sisters brings Q-1 back by")
    case.booking.refresh_from_db()
    assert case.booking.machine == case.shop.machine
    assert case.booking.first_day <= case.booking.last_day < booked_to
    assert page.complaints == []


def test_it_goes_against_the_block_with_a_reason(open_page, case):
    page = yard(open_page, case)
    page.get_by_text("Let it go anyway").click()
    press(page, "It goes anyway")
    assert not Override.objects.exists()  # the browser asks for the reason first
    page.get_by_label("Why it goes anyway").fill("a short hire close by")
    press(page, "It goes anyway")
    expect(page.locator("body")).to_contain_text("Q-1 goes to Two Sisters anyway")
    expect(page.locator("#at-risk")).to_contain_text(SETTLED)
    row = Override.objects.get()
    assert (row.by, row.reason) == (case.shop.manager, "a short hire close by")
    assert oil_change(case).job.day == case.booking.first_day  # the plan stays as it was
    assert page.complaints == []


def overdue_and_booked(case, number):
    """Machines with an overdue service, each booked from tomorrow on or later, with no way yet."""
    for days in range(1, number + 1):
        machine = factories.Machine(yard=case.free.yard, makeup=case.free.makeup)
        consequences.MachineState(machine=machine, state=State.OVERDUE)
        point = consequences.DuePoint(machine=machine, state=State.OVERDUE)
        first = TODAY + (days + 7) * DAY
        factories.Booking(machine=machine, first_day=first, last_day=first + DAY)
        consequences.Block(machine=machine, due_point=point)


def test_on_a_phone_three_overdue_machines_stand_within_two_screens(open_page, case):
    overdue_and_booked(case, 5)
    page = open_page(case.shop.manager, reverse("yard"), PHONE)
    page.wait_for_load_state("networkidle")
    third = page.locator("#overdue .lines > li").nth(2)
    box = third.bounding_box()
    assert box["y"] + box["height"] <= 2 * PHONE[1]
    first = page.locator(f"#booking-{case.booking.pk} details")
    expect(first).not_to_have_attribute("open", "")
    first.locator("summary").click()
    expect(page.locator(f"#ways-{case.booking.pk}")).to_be_visible()
    assert page.complaints == []
