"""A sheet on a phone loses nothing: typed without a signal, reloaded, sent once it is back."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.models import ServiceRecord, SheetEntry
from tests.browser.conftest import PHONE
from tests.scheduling.bench_data import bench_case

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_what_was_typed_without_a_signal_is_sent_once_and_finishes_the_job(open_page):
    day = timezone.now().date()
    case = bench_case(day)
    limit = case.service.limits.get()
    page = open_page(case.mechanic, f"{reverse('job', args=['Q-1'])}?day={day}", PHONE)
    badge = page.locator("[data-keep-badge]")
    expect(page.get_by_role("button", name="Finish what is ticked")).to_be_in_viewport()
    page.get_by_label("Note for the book").fill("plug is round")
    expect(badge).to_have_text("All that is typed is kept.")

    page.context.set_offline(True)
    page.locator(f"[name=limit_{limit.pk}]").fill("250")
    page.get_by_label("Engine oil and filter").check()
    expect(badge).to_have_text(re.compile("2 entries on this phone, not sent yet"))
    page.context.set_offline(False)
    page.reload()
    expect(page.locator(f"[name=limit_{limit.pk}]")).to_have_value("250")
    expect(page.get_by_label("Engine oil and filter")).to_be_checked()
    expect(page.get_by_label("Note for the book")).to_have_value("plug is round")
    expect(badge).to_have_text("All that is typed is kept.")
    assert SheetEntry.objects.count() == 3

    page.get_by_role("button", name="Finish what is ticked").click()
    expect(page.locator(".faults")).to_be_focused()  # the meter is asked for
    expect(page.locator(".faults")).to_be_in_viewport()
    page.locator("[name=reading_hours]").fill("125.5")
    page.get_by_role("button", name="Finish what is ticked").click()
    page.wait_for_url("**/bench/?day=*")
    record = ServiceRecord.objects.get()
    assert (record.note, record.measurements.get().value) == ("plug is round", 250)
    assert not SheetEntry.objects.filter(spent_at=None).exists()
