"""Cautions that were read today on a phone: one line each, at the head and at the step."""

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from tests.browser.conftest import PHONE
from tests.scheduling.bench_data import bench_case

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_one_press_reads_a_caution_wherever_it_stands_and_another_shows_it_again(open_page):
    case = bench_case(timezone.now().date())
    case.service.steps.update(caution=case.service.cautions.get())
    page = open_page(case.mechanic, reverse("job", args=["Q-1"]), PHONE)
    unread = page.locator("details[data-caution][open]")
    expect(unread).to_have_count(2)
    page.get_by_role("button", name="I have read these").click()
    expect(unread).to_have_count(0)
    page.reload()
    expect(page.locator("details[data-caution]")).to_have_count(2)
    expect(unread).to_have_count(0)
    page.locator("details[data-caution] > summary").last.click()
    expect(unread).to_have_count(1)
