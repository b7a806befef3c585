"""Shop days in a browser: readable by all, and a job moved by mouse, finger, keys and buttons."""

import re
import shutil
import subprocess
from datetime import datetime, time, timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fleet.actions.keep_day import DayList, keep_day
from fleet.actions.open_calendar import calendar_key
from fleet.models import KeptWork, Machine, Pin, Release, Tongue
from scheduling.models import OutboxEntry, Plan, PlannedJob
from scheduling.worker.perform import perform_entry
from tests import consequences, factories
from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.test_look import RULES, SCREEN_NAMES, SCREENS
from tests.factories import key_of
from tests.require import require
from tests.scheduling.bench_data import bench_case
from tests.services.workers import wait_for

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def case():
    """One quad's oil change, planned for the first day from today on which the shop works."""
    today = timezone.now().date()
    day = next(d for n in range(3) if (d := today + timedelta(days=n)).weekday() < 5)
    case = bench_case(day)
    Plan.objects.update(
        first_day=today, total=152, bound=140, gap=0.08, cost={"visit": 32, "overdue": 120}
    )
    factories.Mechanic(shop=case.mechanic.shop, first_name="Bo")
    Pin.objects.create(
        machine=case.machine,
        work_key=key_of("Q-1", "oil"),
        day=day,
        by=case.manager,
        at=timezone.now(),
    )
    calendar_key(case.manager, now=timezone.now())
    keep_lists(case, today)
    return case


def keep_lists(case, today):
    """Keep the lists of three days gone by: one piece was done that day, one late, one not."""
    zone = case.mechanic.shop.zone
    for back, done in ((40, 40), (37, 35), (1, None)):
        day = today - timedelta(days=back)
        morning = datetime.combine(day, time(2), zone)
        row = KeptWork(
            machine=case.machine, work_key=key_of("Q-1", "oil"), title="Engine oil and filter",
            service=case.service, mechanic=case.mechanic, minutes=60,
        )  # fmt: skip
        keep_day(case.mechanic.shop, DayList(day, 90, 480, [row]), now=morning)
        if done is not None:
            at = datetime.combine(today - timedelta(days=done), time(10), zone)
            factories.ServiceRecord(machine=case.machine, service=case.service, done_at=at)


PAGES = {
    "shop days": lambda: reverse("shop-days"),
    "planned and done": lambda: reverse("planned-done"),
    "calendar": lambda: reverse("calendar"),
}


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize(("size", "dark"), SCREENS, ids=SCREEN_NAMES)
def test_pages_meet_wcag_22_aa_as_far_as_a_machine_can_tell(open_page, case, name, size, dark):
    page = open_page(case.manager, PAGES[name](), size, dark)
    for fold in page.query_selector_all("details.fold:visible"):
        fold.evaluate("fold => { fold.open = true }")
    found = Axe().run(page, options=RULES).response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found] == []


@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_cut_off_on_a_phone_and_the_browser_has_no_complaint(open_page, case, name):
    page = open_page(case.manager, PAGES[name](), PHONE)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    assert page.complaints == []


def test_what_is_pressed_on_a_job_fits_a_glove(open_page, case):
    page = open_page(case.manager, reverse("shop-days"), PHONE)
    open_line(page)
    pressed = page.locator(".job-card button:visible, .job-card summary:visible")
    boxes = [pressed.nth(n).bounding_box() for n in range(pressed.count())]
    assert len(boxes) >= 5
    assert all(box["height"] >= 48 and box["width"] >= 48 for box in boxes)


def open_line(page):
    """Open the job where it stands; what it opens into comes from the server."""
    page.locator(".job-line summary").click()
    expect(page.get_by_role("button", name="Pin it here")).to_be_visible()


def another_cell(page, case):
    """The first cell of the grid that is another day of Bo's."""
    at = case.job.day.isoformat()
    return page.locator(f"td[data-drop]:not([data-day='{at}'])[data-says$='with Bo']").first


def middle(box):
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def planned_again(page):
    """Do what the worker would do, and follow the page back."""
    page.wait_for_url("**/planning/**")
    assert perform_entry(OutboxEntry.objects.get(kind=OutboxEntry.Kind.REPLAN).pk, timezone.now())
    page.wait_for_url("**/shop-days/")


@pytest.mark.parametrize("size", [(768, 1024), (820, 1180), DESKTOP])
def test_a_tag_of_six_letters_stands_whole_in_its_cell(open_page, case, size):
    Machine.objects.filter(pk=case.machine.pk).update(tag="MW-105")
    page = open_page(case.manager, reverse("shop-days"), size)
    tag = page.locator(".job-line > summary > b").first
    line = page.locator(".job-line > summary").first.bounding_box()
    box = tag.bounding_box()
    assert tag.inner_text() == "MW-105"
    assert box["x"] + box["width"] <= line["x"] + line["width"]
    assert box["y"] + box["height"] <= line["y"] + line["height"]
    if size != DESKTOP:  # what has no room beside it is left out, and cuts nothing off
        hours = page.locator(".job-line > summary > .num").first.bounding_box()
        assert hours["y"] >= line["y"] + line["height"] or hours["x"] > box["x"] + box["width"]


def pinned(cell_day):
    pin = Pin.objects.get(lifted_at=None)
    return pin.day.isoformat() == cell_day and pin.mechanic.first_name == "Bo"


def drag(page, case, *, drop=True):
    """Carry the job by its grip to another cell, as the board shows it once it is lifted."""
    grip = page.locator("[data-grip]")
    grip.scroll_into_view_if_needed()
    x, y = middle(grip.bounding_box())
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y + 20, steps=3)
    cell = another_cell(page, case)
    x, y = middle(cell.bounding_box())
    page.mouse.move(x, y, steps=4)
    expect(cell).to_have_class("drop-here")
    day = cell.get_attribute("data-day")
    if drop:
        page.mouse.up()
    return day


@pytest.mark.parametrize("size", [DESKTOP, PHONE])
def test_a_job_dragged_to_a_day_is_pinned_there_and_found_again(open_page, case, size):
    page = open_page(case.manager, reverse("shop-days"), size)
    day = drag(page, case)
    planned_again(page)
    assert pinned(day)
    expect(page.locator("[data-said]")).to_contain_text("Q-1 now stands on")
    assert page.evaluate("document.activeElement.dataset.job") == "Q-1"
    assert page.complaints == []


def test_escape_in_the_middle_of_a_drag_leaves_the_job_where_it_is(open_page, case):
    page = open_page(case.manager, reverse("shop-days"))
    drag(page, case, drop=False)
    page.keyboard.press("Escape")
    page.mouse.up()
    expect(page.locator("[data-said]")).to_have_text("Q-1 stays where it was.")
    expect(page.locator("body")).not_to_have_class("carrying")
    assert Pin.objects.get().mechanic is None


def test_dropped_beside_the_board_it_stays(open_page, case):
    page = open_page(case.manager, reverse("shop-days"))
    drag(page, case, drop=False)
    page.mouse.move(3, 3)
    page.mouse.up()
    expect(page.locator("[data-said]")).to_have_text("Q-1 stays where it was.")
    assert not OutboxEntry.objects.filter(kind=OutboxEntry.Kind.REPLAN).exists()


def test_a_finger_drags_too(open_page, case):
    """Pointer events of kind touch, as a phone sends them."""
    page = open_page(case.manager, reverse("shop-days"), PHONE)
    session = page.context.new_cdp_session(page)
    grip = page.locator("[data-grip]")
    grip.scroll_into_view_if_needed()

    def touch(kind, at=None):
        points = [{"x": at[0], "y": at[1]}] if at else []
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    x, y = middle(grip.bounding_box())
    touch("touchStart", (x, y))
    touch("touchMove", (x + 15, y + 15))
    touch("touchMove", (x + 25, y + 25))
    cell = another_cell(page, case)
    touch("touchMove", middle(cell.bounding_box()))
    day = cell.get_attribute("data-day")
    expect(cell).to_have_class("drop-here")
    touch("touchEnd")
    page.wait_for_url("**/planning/**")
    assert pinned(day)


def test_the_keyboard_moves_a_job_over_the_board(open_page, case):
    page = open_page(case.manager, reverse("shop-days"))
    page.locator("[data-grip]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-said]")).to_contain_text("Arrow keys choose a day")
    page.keyboard.press("ArrowUp")  # Bo stands above Jo
    page.keyboard.press("ArrowRight")
    chosen = page.locator(".drop-here")
    day = chosen.get_attribute("data-day")
    expect(page.locator("[data-said]")).to_contain_text(chosen.get_attribute("data-says"))
    page.keyboard.press("Enter")
    page.wait_for_url("**/planning/**")
    assert pinned(day)


def test_the_hints_are_in_the_language_of_the_page(open_page, case):
    """Put down where it was lifted, the job is known to stand there already in Spanish too."""
    case.manager.language = Tongue.SPANISH
    case.manager.save()
    page = open_page(case.manager, reverse("shop-days"))
    page.locator("[data-grip]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-hint]")).to_contain_text("Ponga Q-1 en un día de un mecánico")
    expect(page.locator("[data-said]")).to_contain_text("Q-1 se levantó del")
    page.keyboard.press("Enter")
    expect(page.locator("[data-said]")).to_have_text("Q-1 ya está ahí.")
    assert page.complaints == []


def test_escape_on_the_board_gives_the_keyboard_back(open_page, case):
    page = open_page(case.manager, reverse("shop-days"))
    page.locator("[data-grip]").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.hasAttribute('data-grip')")
    assert Pin.objects.get().mechanic is None


def test_a_step_by_button_comes_back_to_the_job(open_page, case):
    page = open_page(case.manager, reverse("shop-days"))
    open_line(page)
    page.get_by_role("button", name="Q-1: a day later").click()
    planned_again(page)
    assert Pin.objects.get(lifted_at=None).day > case.job.day
    expect(page.locator("[data-said]")).to_contain_text("Q-1 now stands on")


def test_a_mechanic_sees_no_grip(open_page, case):
    page = open_page(case.mechanic, reverse("shop-days"))
    assert page.locator("[data-grip]").count() == 0
    assert PlannedJob.objects.exists()


def test_a_mechanic_reads_on_a_phone_of_which_day_each_job_is(open_page, case):
    """The head of the grid has no room there, so the day stands before the jobs of it."""
    page = open_page(case.mechanic, reverse("shop-days"), PHONE)
    before = "cell => getComputedStyle(cell, '::before').content"
    told = page.locator(".week-grid td:not([data-free])").evaluate_all(f"all => all.map({before})")
    day = case.job.day.strftime("%a %-d %b")
    assert any(day in one for one in told)
    assert "none" not in told


def test_loads_and_figures_stand_on_paper(open_page, case):
    page = open_page(case.manager, reverse("shop-days"))
    page.emulate_media(media="print")
    assert page.is_visible(".week-grid")
    assert not page.is_visible(".job-open")
    assert not page.is_visible("[data-grip]")
    paper = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", paper)) == 1  # the week is one sheet for the wall


def pages(page, folder, size):
    """Print on sheets of a size, as the printer is told; return the words of each."""
    file = folder / "week.pdf"
    page.pdf(path=file, format=size, prefer_css_page_size=True)
    require(shutil.which("pdftotext"), "pdftotext (poppler-utils)")
    read = subprocess.run(["pdftotext", file, "-"], capture_output=True, check=True)
    return read.stdout.decode().split("\f")[:-1]


def test_the_week_of_a_large_shop_begins_beneath_its_heading_and_fits_on_a_large_sheet(
    open_page, case, tmp_path
):
    for number in range(26):
        factories.Mechanic(shop=case.mechanic.shop, first_name=f"Al{number}")
    page = open_page(case.manager, reverse("shop-days"))
    small = pages(page, tmp_path, "A4")
    assert "Al0" in small[0].split()
    assert len(small) == 2
    assert len(pages(page, tmp_path, "A3")) == 1


def test_figures_of_a_month_stand_on_paper_without_the_choices(open_page, case):
    yesterday = timezone.now().date() - timedelta(days=1)  # its list was kept, and is over
    page = open_page(case.manager, f"{reverse('planned-done')}?month={yesterday:%Y-%m}")
    page.emulate_media(media="print")
    assert not page.is_visible("form.filters")
    assert page.is_visible("#entries table")
    assert page.pdf(format="A4").startswith(b"%PDF")


def full_week(case):
    """A published week as full as the demo's fullest: up to 6 machines a day with one mechanic."""
    shop = case.mechanic.shop
    bo = shop.people.get(first_name="Bo")
    others = [factories.Mechanic(shop=shop, first_name=name) for name in ("Al", "Cy")]
    people = [case.mechanic, *others, bo]
    mosts = (5, 6, 5, 2)  # one has the quad beside them
    for person, most, letter in zip(people, mosts, "KLMN", strict=True):
        for number in range(7 * most):
            job = consequences.PlannedJob(
                plan=case.job.plan,
                mechanic=person,
                day=case.job.day + timedelta(days=number % 7),
                machine__yard=case.machine.yard,
                machine__tag=f"{letter}-{number:02}",  # as long as a yard writes them
            )
            consequences.PlannedWork(job=job)
    first = case.job.day
    Release.objects.create(
        shop=shop, at=timezone.now(), first_day=first, last_day=first + timedelta(days=6)
    )


def test_a_full_week_stands_on_one_screen_of_a_small_desk(open_page, case):
    full_week(case)
    size = (1366, 768)
    page = open_page(case.manager, f"{reverse('shop-days')}?day={case.job.day}", size)
    assert page.locator(".job-line").count() > 100
    box = page.locator(".week-grid").bounding_box()
    assert box["y"] + box["height"] <= size[1]
    assert box["x"] + box["width"] <= size[0]


@pytest.mark.parametrize("size", [(820, 1180), (1366, 768)])
def test_each_job_of_the_grid_shows_its_tag_whole(open_page, case, size):
    full_week(case)
    page = open_page(case.manager, f"{reverse('shop-days')}?day={case.job.day}", size)
    jobs = page.locator(".job-line > summary")
    expect(jobs).not_to_have_count(0)
    cut = """all => all.filter(one => {
      const tag = one.querySelector('b').getBoundingClientRect(), line = one.getBoundingClientRect()
      return tag.right > line.right - 8
    }).length"""
    wait_for(lambda: jobs.evaluate_all(cut) == 0, "each tag stands whole", seconds=20)
