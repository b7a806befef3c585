"""The look on screen: readable by all, nothing cut off, nothing from elsewhere, big enough."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils import timezone

from scheduling.hindsight.forecast_outcomes import load_outcomes
from scheduling.hindsight.range_coverage import count_came_true
from scheduling.models import NightlyRun, State
from tests import consequences, factories
from tests.browser.conftest import DESKTOP, PHONE
from tests.scheduling.hindsight.forecast_case import kept

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}}
SCREENS = [(DESKTOP, False), (DESKTOP, True), (PHONE, False), (PHONE, True)]
SCREEN_NAMES = ["desktop light", "desktop dark", "phone light", "phone dark"]


@pytest.fixture
def manager():
    """A manager whose shop has one machine in each state, with all that pages show of it."""
    person = factories.Person(first_name="Ana", last_name="Brook")
    today = timezone.now().date()
    for number, state in enumerate(State.values):
        machine = factories.Machine(tag=f"M-{number}", yard__shop=person.shop)
        point = consequences.DuePoint(
            machine=machine,
            state=state,
            meter_kind="hours",
            remaining=-31.0,
            life_now=412.0,
            read_on=today,
            due_life=381.0,
            why="4.1 h a day over the last 6 weeks; 31 h past",
        )
        consequences.MachineState(
            machine=machine,
            state=state,
            due_point=point,
            next_due=today,
            headline="Engine oil and filter, small engine overdue by 31 h",
        )
        booking = factories.Booking(
            machine=machine, first_day=today, last_day=today + timedelta(days=3)
        )
        consequences.Block(machine=machine, due_point=point, first_day=booking.first_day)
        factories.ServiceRecord(machine=machine, minutes=75, cost=80, note="drain plug worn")
    meter = factories.Meter(machine=machine)
    for back in range(12):
        factories.Reading(
            meter=meter, value=412 - 9 * back, read_at=timezone.now() - timedelta(days=5 * back)
        )
    judge_forecasts(machine)
    return person


def judge_forecasts(machine):
    """Forecasts of two months that are old enough to be judged, and a night that counted them."""
    for number in range(40):
        late = {"truth": 90, "outcome": "later"} if number % 5 == 0 else {}
        made = timezone.now().date() - timedelta(days=130 + number)
        kept(machine, factories.Service(), made_on=made, **late)
    shop, now = machine.yard.shop, timezone.now()
    counted = count_came_true(shop, load_outcomes(shop, now.date()), now.date())
    report = {"stages": {"forecasts": {"held": counted}}}
    NightlyRun.objects.create(
        shop=shop, day=now.date(), started_at=now, finished_at=now, report=report
    )


PAGES = {
    "sign-in": lambda: reverse("sign-in"),
    "yard": lambda: reverse("yard"),
    "dates": lambda: reverse("range-record"),
    "machines": lambda: reverse("machines") + "?state=exploded",
    "machine": lambda: reverse("machine", args=["M-5"]),
    "not there": lambda: "/no/such/page/",
}


def opened(open_page, manager, name, size, dark=False):
    return open_page(None if name == "sign-in" else manager, PAGES[name](), size, dark)


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize(("size", "dark"), SCREENS, ids=SCREEN_NAMES)
def test_pages_meet_wcag_22_aa_as_far_as_a_machine_can_tell(open_page, manager, name, size, dark):
    page = opened(open_page, manager, name, size, dark)
    for fold in page.query_selector_all("details.fold:visible"):
        fold.evaluate("fold => { fold.open = true }")
    found = Axe().run(page, options=RULES).response["violations"]
    assert [(v["id"], [n["target"] for n in v["nodes"]]) for v in found] == []


@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_cut_off_on_a_phone(open_page, manager, name):
    page = opened(open_page, manager, name, PHONE)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]


@pytest.mark.parametrize("name", [name for name in PAGES if name != "not there"])
def test_the_browser_has_nothing_to_complain_of(open_page, manager, name):
    page = opened(open_page, manager, name, DESKTOP)
    assert page.complaints == []


def test_the_menu_opens_without_script_and_fits_a_glove(open_page, manager):
    page = open_page(manager, reverse("machines"), PHONE)
    page.click("summary:has-text('Menu')")
    links = page.locator(".menu-fold .menu a")
    boxes = [links.nth(n).bounding_box() for n in range(links.count())]
    assert len(boxes) >= 4
    assert all(box["height"] >= 48 and box["width"] >= 48 for box in boxes)


MET = """link => {
  link.scrollIntoView({ block: "center" });
  const box = link.getBoundingClientRect();
  const x = box.left + box.width / 2, y = box.top + box.height / 2;
  const meets = (away) => link.contains(document.elementFromPoint(x, y + away));
  const met = (step) => { let n = 0; while (n < 60 && meets(n * step)) n += 1; return n; };
  return met(-1) + met(1) - 1;
}"""
"""How high the strip is in which a press meets a link, px."""


def test_a_glove_meets_the_tag_of_a_machine_and_no_row_grows_by_that(open_page, manager):
    page = open_page(manager, reverse("machines"), PHONE)
    tag = page.locator("main a.tag").first
    assert tag.evaluate(MET) >= 44
    assert tag.bounding_box()["height"] <= 32


def test_a_keyboard_reaches_the_page_past_the_menu(open_page, manager):
    page = open_page(manager, reverse("machines"))
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"


def test_a_choice_narrows_at_once_and_stands_in_the_address(open_page, manager):
    page = open_page(manager, reverse("machines"))
    page.select_option("[name=state]", "held")
    page.wait_for_url("**state=held**")
    assert "1 of 6 machines matches your filters." in page.inner_text(".answer")
    assert page.complaints == []


def test_a_machine_prints_with_its_state_in_words_and_without_the_menu(open_page, manager):
    page = open_page(manager, reverse("machine", args=["M-5"]))
    page.emulate_media(media="print")
    assert not page.is_visible(".site-head")
    assert page.is_visible(".only-print")
    assert "held" in page.inner_text("#services")
    assert page.pdf(format="A4").startswith(b"%PDF")
