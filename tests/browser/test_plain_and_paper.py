"""Without scripts, in the dark and on paper: the pages still serve the three people."""

import shutil

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, PHONE, cast_of
from tests.browser.hands import (
    a_good_measure,
    answer_checks,
    ask_at_counter,
    expect_said,
    fill_hand_over,
    paper_of,
    send_whole_round,
)
from tests.browser.live_site import running_copy
from tests.browser.visitor import visit
from tests.require import require

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SMALLEST_PICTURE = 5_000
"""Bytes: an empty page of this size is less."""


@pytest.fixture(scope="module")
def site(morning, tmp_path_factory):
    """One site for all: what one of these tests changes stands in no other's way."""
    with running_copy(morning, tmp_path_factory.mktemp("plain") / "site") as site:
        yield site


@pytest.fixture(scope="module")
def cast(site, django_db_blocker):
    return cast_of(site, django_db_blocker)


@pytest.fixture
def signed_in(chromium, site):
    """Sign a person in: signed_in("wes", size, ...)."""
    visitors = []

    def sign_in(username, size, **more):
        visitors.append(visit(chromium, site.url, size, **more))
        visitors[-1].sign_in(username)
        return visitors[-1]

    yield sign_in
    for visitor in visitors:
        visitor.context.close()


def test_round_counter_and_bench_work_without_scripts(signed_in, cast):
    """A phone that runs no script still reads meters, asks, takes back and finishes a job."""
    desk = signed_in("wes", PHONE, java_script_enabled=False)
    page = desk.open("/counter/")
    hours = cast.slipping.hours
    line = send_whole_round(desk, cast.slipping, hours.more(-60))
    expect(line).to_contain_text("60 h back")
    line.get_by_label("Shows").fill(hours.more(2))
    desk.follow(page.get_by_role("button", name="Take all that is typed"))
    expect(page.locator(".answer")).to_contain_text("1 reading taken")
    expect(ask_at_counter(desk, cast.overdue, cast.today)).to_contain_text("overdue")
    desk.open(f"/counter/bookings/{cast.returning_booking}/back/")
    fill_hand_over(page, cast.returning.dials, 1)
    desk.follow(page.get_by_role("button", name="Take back"))
    expect(page.locator(".answer")).to_contain_text("back since")


def test_a_job_is_finished_without_scripts(signed_in, cast):
    mechanic = signed_in("ingrid", PHONE, java_script_enabled=False)
    page = mechanic.open(f"/bench/{cast.overdue.tag}/?day={cast.work_day}")
    page.locator(f"[name=done][value='{cast.work_key}']").check()
    for dial in cast.overdue.dials:
        page.fill(f"[name=reading_{dial.kind}]", dial.more(0.5))
    ticked = page.locator(".sheet", has=page.locator(f"[name=done][value='{cast.work_key}']"))
    answer_checks(ticked)
    for limit in ticked.locator("[name^=limit_]:visible").all():
        limit.fill(a_good_measure(limit.locator("xpath=..").inner_text()))
    mechanic.follow(page.get_by_role("button", name="Finish what is ticked"))
    expect_said(page, "1 entry in the book")


def test_the_yard_and_a_machine_in_the_dark_and_on_paper(signed_in, cast, site):
    require(shutil.which("pdftotext"), "pdftotext (poppler-utils)")
    manager = signed_in("odile", DESKTOP, color_scheme="dark")
    # The machine's service may be done by now, and long names of jobs are cut short on paper:
    # the week has to show the machine of its first job, whichever the plan has put there.
    for path, words_of in (
        ("/yard/", lambda page: "Overdue, worst first"),
        (f"/machines/{cast.overdue.tag}/", lambda page: cast.overdue_service),
        ("/shop-days/", lambda page: page.locator(".job-line b").first.inner_text()),
    ):
        page = manager.open(path)
        background = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert sum(int(part) for part in background[4:-1].split(",")) < 150, background
        assert len(page.screenshot(caret="initial")) > SMALLEST_PICTURE
        words = words_of(page)
        assert words, path
        assert words in paper_of(page, site.data)
    assert manager.complaints == []
