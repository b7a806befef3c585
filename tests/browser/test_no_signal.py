"""A mechanic's day on a phone that loses its signal: worked on, closed, opened again, sent once."""

import re
from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import Measurement, Progress, Reading, ServiceRecord
from scheduling.models import DuePoint, PlannedJob, PlannedWork, State
from tests import factories
from tests.browser.conftest import PHONE
from tests.browser.cut_off import AS_OF, NOT_SENT, PUT, all_is_sent, rows_of, take_along
from tests.factories import key_of
from tests.scheduling.bench_data import BenchCase, bench_case

expect.set_options(timeout=20_000)  # milliseconds: a busy machine is slow, not wrong
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
HOURS = 2


def day_of_two(day) -> BenchCase:
    """Plan the oil change of two machines, Q-1 and Q-2."""
    case = bench_case(day)
    other = factories.Machine(yard=case.machine.yard, makeup=case.machine.makeup, tag="Q-2")
    meter = factories.Meter(machine=other)
    factories.Reading(meter=meter, value=300, read_at=timezone.now() - timedelta(days=3))
    point = DuePoint.objects.create(
        machine=other, service=case.service, state=State.OVERDUE, meter_kind="hours", why="late"
    )
    job = PlannedJob.objects.create(
        plan=case.job.plan, machine=other, day=day, mechanic=case.mechanic, minutes=90
    )
    PlannedWork.objects.create(
        plan=case.job.plan, job=job, machine=other, work_key=key_of("Q-2", "oil"), minutes=60,
        service=case.service, due_point=point, why="room",
    )  # fmt: skip
    return case


def fill_oil_change(page, tag, **typed):
    page.get_by_role("link", name=f"Open {tag}").click()
    page.get_by_label("Engine oil and filter").check()
    for name, text in typed.items():
        page.locator(f"[name={name}]").fill(text)


def press_earlier(page):
    """Make what waits as old as if the signal had been gone for hours."""
    earlier = HOURS * 3_600_000
    page.evaluate(PUT, [one | {"at": one["at"] - earlier} for one in rows_of(page)])


def in_the_book():
    records = ServiceRecord.objects.order_by("entered_at")
    return (
        [(one.machine.tag, one.note, one.minutes) for one in records],
        list(Measurement.objects.values_list("value", flat=True)),
        list(
            Reading.objects.filter(value__in=(125.5, 301))
            .order_by("entered_at")
            .values_list("meter__machine__tag", "value")
        ),
        list(Progress.objects.values_list("machine__tag", "minutes", "minutes_left")),
    )


def said_of_an_earlier_press(page):
    """Assert that a page from memory repeats no word and no undo of a press before it was kept."""
    page.evaluate(
        """() => document.querySelector("main").insertAdjacentHTML("afterbegin",
          '<div role="status"><p class="said">Undone.</p></div><form class="said">Undo</form>')"""
    )
    assert page.evaluate("document.documentElement.dataset.keptAt")
    assert page.locator("main .said:visible").count() == 0


def test_a_day_without_a_signal_is_in_the_book_once_and_in_order(open_page, live_server):
    day = timezone.now().date()
    case = day_of_two(day)
    limit = f"limit_{case.service.limits.get().pk}"
    case.mechanic.set_password("gate-left-open")
    case.mechanic.save()
    page = take_along(open_page, case.mechanic, reverse("bench"))
    not_sent = page.locator(NOT_SENT)

    fill_oil_change(
        page, "Q-1", **{limit: "250", "reading_hours": "125.5", "minutes": "50", "note": "all well"}
    )
    expect(page.locator(AS_OF)).to_have_text(re.compile("No signal: as of"))
    page.get_by_role("button", name="Finish what is ticked").click()
    page.wait_for_url(f"**/bench/?day={day}")
    expect(not_sent).to_have_text("1 entry on this phone is not sent yet")
    expect(page.locator("li.sheet", has_text="Open Q-1")).to_contain_text("waits on this phone")
    page.get_by_role("link", name="Meter round").last.click()
    line = page.locator(".round-line", has_text="Q-2")
    line.get_by_label("Shows").fill("301")
    line.get_by_label("Shows").press("Tab")
    expect(line).to_contain_text("waits on this phone")

    context = page.context
    page.close()
    page = context.new_page()  # closed in the barn, opened again
    page.goto(f"{live_server.url}{reverse('bench')}")
    not_sent = page.locator(NOT_SENT)
    expect(not_sent).to_have_text("2 entries on this phone are not sent yet")
    fill_oil_change(page, "Q-2", worked="10", left="20")
    page.get_by_role("button", name="Leave what is ticked under way").click()
    expect(not_sent).to_have_text("3 entries on this phone are not sent yet")
    said_of_an_earlier_press(page)

    press_earlier(page)
    pressed = rows_of(page)
    Session.objects.all().delete()
    context.set_offline(False)
    expect(not_sent).to_have_text(re.compile("Sign in to send 3 entries"))
    assert in_the_book() == ([], [], [], [])
    not_sent.get_by_role("link").click()
    page.get_by_label("Name").fill(case.mechanic.username)
    page.get_by_label("Password").fill("gate-left-open")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/bench/**")
    all_is_sent(page)
    wanted = (
        [("Q-1", "all well", 50)],
        [250],
        [("Q-1", 125.5), ("Q-2", 301)],
        [("Q-2", 10, 20)],
    )
    assert in_the_book() == wanted
    record, typed = ServiceRecord.objects.get(), Reading.objects.get(value=301)
    left = Progress.objects.get()
    assert record.entered_at < typed.entered_at
    assert record.done_at < typed.read_at < left.at < timezone.now() - timedelta(hours=HOURS)
    assert timezone.now() - left.at < timedelta(hours=HOURS, minutes=5)

    page.evaluate(PUT, pressed)  # as after a cut before the answer came: the same once more
    all_is_sent(page)
    assert in_the_book() == wanted


def test_two_phones_on_one_job_both_stand_and_a_refusal_is_mended(open_page, live_server):
    day = timezone.now().date()
    case = day_of_two(day)
    first = take_along(open_page, case.mechanic, reverse("bench"))
    fill_oil_change(first, "Q-1", reading_hours="12.5", note="mine")
    first.get_by_role("button", name="Finish what is ticked").click()
    expect(first.locator(NOT_SENT)).to_have_text("1 entry on this phone is not sent yet")

    wes = factories.Mechanic(shop=case.mechanic.shop, first_name="Wes", last_name="")
    second = open_page(wes, f"{reverse('job', args=['Q-1'])}?day={day}", PHONE)
    second.get_by_label("Engine oil and filter").check()
    second.locator("[name=reading_hours]").fill("125.5")
    second.locator("[name=note]").fill("his")
    second.get_by_role("button", name="Finish what is ticked").click()
    second.wait_for_url("**/bench/?day=*")
    assert ServiceRecord.objects.get().note == "his"

    press_earlier(first)
    first.context.set_offline(False)
    first.locator(NOT_SENT).get_by_role("link", name="1 entry was not taken").click()
    entry = first.locator("[data-waiting-list] li.sheet")
    expect(entry).to_contain_text("Finish the job · Q-1")
    expect(entry).to_contain_text("Note for the book: mine")
    expect(entry).to_contain_text("Not taken: Hour meter, h:")
    entry.get_by_role("button", name="Mend it").click()
    expect(first.locator("[name=note]")).to_have_value("mine")
    first.locator("[name=reading_hours]").fill("125")
    first.get_by_role("button", name="Finish what is ticked").click()
    first.wait_for_url("**/bench/?day=*")
    expect(first.locator(NOT_SENT)).to_be_empty()
    expect(first.get_by_text("Q-1: Wes wrote Engine oil and filter into the book")).to_be_visible()
    own, his = ServiceRecord.objects.order_by("done_at")
    assert (his.done_by, his.note) == (wes, "his")
    assert own.done_by == case.mechanic
    assert own.note.startswith("mine Wes wrote Engine oil and filter")

    first.get_by_text("Menu", exact=True).click()
    first.get_by_role("button", name="Sign out").first.click()
    first.wait_for_url("**/sign-in/**")
    first.context.set_offline(True)  # whoever has the phone now sees nothing of that day
    first.goto(f"{live_server.url}{reverse('bench')}")
    expect(first.get_by_role("heading", name="What waits on this phone")).to_be_visible()
    expect(first.locator("body")).not_to_contain_text("Q-2")
