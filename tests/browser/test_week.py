"""One week of the shop, end to end, as its three people live it in a browser.

The site is the demo as a person starts it, with its own web server and worker; the walk goes from
the readings that come in to the machine that may go out again, and back.
"""

import re
import shutil
from dataclasses import dataclass
from datetime import timedelta

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.cast import Cast
from tests.browser.conftest import DESKTOP, PHONE, SIZE_NAMES
from tests.browser.hands import (
    a_good_measure,
    answer_checks,
    ask_at_counter,
    days_until_due,
    expect_said,
    fill_hand_over,
    hours_to_go,
    overdue_line,
    paper_of,
    service_of,
    squeezed,
    type_in_round,
)
from tests.browser.live_site import LiveSite
from tests.browser.visitor import Visitor, visit
from tests.long_run import chosen
from tests.require import require
from tests.services.workers import wait_for

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(600)]
CUSTOMER, REASON = "Fallow Creek Fencing", "the customer's own mechanic does it on site tonight"
MANUAL_FIRST = "the machine's own manual, local codes and licensed practice"
SIZES = pytest.mark.parametrize("size", chosen([PHONE, DESKTOP], 1), ids=SIZE_NAMES.get)


@dataclass
class Week:
    """The walk: its site, the parts of the machines, and the three people."""

    site: LiveSite
    cast: Cast
    manager: Visitor
    desk: Visitor
    mechanic: Visitor
    booking: str = ""

    @property
    def people(self) -> list[Visitor]:
        """All three."""
        return [self.manager, self.desk, self.mechanic]


@pytest.fixture
def week(chromium, site, cast, size):
    require(shutil.which("pdftotext"), "pdftotext (poppler-utils)")
    people = {}
    for username in ("odile", "wes", "ingrid"):
        people[username] = visit(chromium, site.url, size)
        people[username].sign_in(username)
    yield Week(site, cast, people["odile"], people["wes"], people["ingrid"])
    for person in people.values():
        person.context.close()


@SIZES
def test_one_week_from_the_readings_to_the_machine_that_may_go_out_again(week, size):
    live_a_week(week)


def live_a_week(week: Week) -> None:
    """From the readings to the machine that may go out again."""
    each_lands_on_their_own_page(week)
    a_reading_of_the_round_brings_a_service_nearer(week)
    a_slipped_point_is_caught_and_answered(week)
    a_file_is_taken_and_what_is_odd_is_mended(week)
    a_machine_comes_back_with_a_reading(week)
    an_overdue_machine_is_refused(week)
    it_is_booked_against_with_a_reason(week)
    a_held_machine_goes_out_for_no_reason(week)
    people_are_told(week)
    the_manager_sees_it_moves_and_publishes(week)
    the_mechanic_prints_the_list(week)
    the_mechanic_finishes_the_job(week)
    due_points_blocks_and_plan_have_moved(week)
    it_goes_out_and_comes_back(week)
    for person in week.people:
        assert person.complaints == []
    assert "Traceback" not in week.site.log()


def each_lands_on_their_own_page(week: Week) -> None:
    for person, heading in (
        (week.manager, "Shop"),
        (week.desk, "Counter"),
        (week.mechanic, "Bench"),
    ):
        person.look()
        expect(person.page.locator("h1")).to_contain_text(heading)
    week.desk.can_be_pressed_with_gloves()
    week.mechanic.can_be_pressed_with_gloves()


def a_reading_of_the_round_brings_a_service_nearer(week: Week) -> None:
    """Typed on the meter round: what is left and the forecast date move at once."""
    moving = week.cast.moving
    tag, hours = moving.machine.tag, moving.machine.hours
    before = service_of(week.desk, tag, moving.service)
    line = type_in_round(week.desk, moving.machine, hours.more(moving.step))
    expect(line).to_contain_text(f"{float(hours.more(moving.step)):,.1f} h taken")
    week.desk.look()
    after = service_of(week.desk, tag, moving.service)
    assert hours_to_go(before) - hours_to_go(after) == pytest.approx(moving.step, abs=1)
    assert days_until_due(after) < days_until_due(before)


def a_slipped_point_is_caught_and_answered(week: Week) -> None:
    """Ten times too much: the sentence stands at the field, and what was meant is one press."""
    hours = week.cast.slipping.hours
    meant = round(hours.last + 3, 1)
    line = type_in_round(week.mechanic, week.cast.slipping, f"{10 * meant:.0f}")
    expect(line).to_contain_text("decimal point")
    expect(line.locator(".said-success")).to_have_count(0)
    week.mechanic.look()
    week.mechanic.can_be_pressed_with_gloves()
    line.get_by_role("button", name=f"It shows {meant:,.1f} h").click()
    expect(line).to_contain_text(f"{meant:,.1f} h taken")


def a_file_is_taken_and_what_is_odd_is_mended(week: Week) -> None:
    """One row is good, one runs backwards, one names no machine: two wait for a person."""
    cast = week.cast
    now = week.site.now.strftime("%Y-%m-%d %H:%M")
    rows = [(cast.filed.tag, cast.filed.hours.more(2)),
            (cast.backwards.tag, cast.backwards.hours.more(-50)), ("ZZ-99", "10")]  # fmt: skip
    file = week.site.data / "telematics.csv"
    file.write_text(
        "machine;read at;hours\n" + "".join(f"{tag};{now}+00:00;{value}\n" for tag, value in rows)
    )
    assert "1 new" in week.site.manage("import_readings", str(file))
    assert "1 already there" in week.site.manage("import_readings", str(file))
    page = week.desk.open("/readings-to-mend/")
    backwards = page.locator(".mend", has_text=cast.backwards.tag).filter(has_text="telematics.csv")
    expect(backwards).to_contain_text("50 h back")
    backwards.get_by_label("Shows").fill(cast.backwards.hours.more(1))
    backwards.get_by_role("button", name="Take it").click()
    expect(page.locator(".said-success")).to_contain_text("taken")
    unknown = page.locator(".mend", has_text="ZZ-99")
    unknown.get_by_text("Leave it out").first.click()
    unknown.get_by_label("Why").fill("not one of ours")
    unknown.get_by_role("button", name="Leave it out").click()
    expect(page.locator(".said-success", has_text="not one of ours")).to_be_visible()


def a_machine_comes_back_with_a_reading(week: Week) -> None:
    """The counter takes a machine back that a customer has had; its book shows the reading."""
    returning, desk = week.cast.returning, week.desk
    page = desk.open(f"/counter/bookings/{week.cast.returning_booking}/")
    desk.follow(page.get_by_role("link", name="Take back"))
    desk.can_be_pressed_with_gloves()
    fill_hand_over(page, returning.dials, 1)
    desk.follow(page.get_by_role("button", name=f"Take back {returning.tag}"))
    expect(page.locator(".answer")).to_contain_text("back since")
    expect(page.locator("main")).to_contain_text(f"{float(returning.hours.more(1)):,.1f} h")


def an_overdue_machine_is_refused(week: Week) -> None:
    """Why, until when, and which machine instead; without a reason it cannot be booked."""
    overdue, desk = week.cast.overdue, week.desk
    line = ask_at_counter(desk, overdue, week.cast.today)
    expect(line).to_contain_text("overdue")
    expect(line).to_contain_text("Until the work is done")
    expect(line).to_contain_text(re.compile(r"Instead:|No other machine"))
    page = desk.follow(line.get_by_role("link", name="Book anyway"))
    expect(page.locator(".answer")).to_contain_text(f"{overdue.tag} may not go out")
    page.get_by_label("Customer or ranch job").fill(CUSTOMER)
    page.get_by_label("Why it goes out").fill(" ")  # the browser itself asks for something
    desk.follow(page.get_by_role("button", name=f"Book {overdue.tag}"))
    expect(page.locator(".faults")).to_contain_text("say why it goes out anyway")


def it_is_booked_against_with_a_reason(week: Week) -> None:
    """With a reason it is booked, and who decided it stands on record."""
    page = week.desk.page
    page.get_by_label("Why it goes out").fill(REASON)
    week.desk.follow(page.get_by_role("button", name=f"Book {week.cast.overdue.tag}"))
    expect(page.locator(".answer")).to_contain_text(CUSTOMER)
    expect(page.locator("main")).to_contain_text(REASON)
    expect(page.locator("main")).to_contain_text(
        re.compile(r"Is to go anyway, despite:.*overdue", re.S)
    )
    expect(page.locator("main")).to_contain_text("Wes Tamblyn")
    week.booking = page.url.removeprefix(week.site.url)


def a_held_machine_goes_out_for_no_reason(week: Week) -> None:
    """A hold is hard: no way leads past it, not even the address typed by hand."""
    held, desk = week.cast.held, week.desk
    line = ask_at_counter(desk, held, week.cast.today)
    expect(line).to_contain_text("Nobody can override this")
    expect(line.get_by_role("link", name=re.compile("^Book"))).to_have_count(0)
    page = desk.open(f"/counter/book/{held.tag}/")
    page.get_by_label("Customer or ranch job").fill(CUSTOMER)
    desk.follow(page.get_by_role("button", name=f"Book {held.tag}"))
    expect(page.locator(".faults")).to_contain_text("may not go out")
    expect(page.get_by_label("Why it goes out")).to_have_count(0)


def people_are_told(week: Week) -> None:
    """The worker sends the desk's warning and the manager's morning summary by itself."""
    subject = f"{week.cast.overdue.tag} is overdue and booked"
    wait_for(lambda: subject in week.site.mails(), "the desk's warning is sent")
    page = week.desk.open("/notices/")
    wait_for(lambda: is_sent(page, subject), "the desk's warning is marked as sent")
    week.desk.follow(page.get_by_role("link", name=re.compile(re.escape(subject))).first)
    expect(page.locator("main")).to_contain_text(CUSTOMER)
    wait_for(lambda: "To: odile@" in week.site.mails(), "the manager's morning summary is sent")
    page = week.manager.open("/notices/")
    expect(page.locator(".list > li", has_text="to Odile Farrow")).not_to_have_count(0)


def is_sent(page: Page, subject: str) -> bool:
    """Tell whether the notices now say that it is sent: the mark follows the mail."""
    page.reload()
    return page.locator(".list > li", has_text=subject).first.inner_text().endswith("sent")


def the_manager_sees_it_moves_and_publishes(week: Week) -> None:
    """Overdue and at risk on the Yard; pinned to a day and a mechanic; published."""
    cast, manager = week.cast, week.manager
    expect(overdue_line(manager, cast.overdue.tag).first).to_be_visible()
    page = manager.open("/yard/")
    page.locator("#in-time > summary").click()  # somebody decided that it goes as it is
    expect(page.locator("#in-time")).to_contain_text(CUSTOMER)
    page = where_it_stands(week)
    planned_work(page, week).locator("summary").click()
    move = planned_work(page, week).locator("[data-move]")
    expect(move).to_be_visible()
    manager.look()
    move.get_by_label("Day", exact=True).fill(cast.pin_day.isoformat())
    move.get_by_label("Mechanic", exact=True).select_option("ingrid")
    move.get_by_role("button", name="Pin it here").click()
    # the page of the search leads back by itself; where time had cut the last one off, it went on
    expect_said(page, re.compile("Planned again|Searched on"))
    manager.open(f"/shop-days/?day={cast.pin_day}")
    expect(planned_work(page, week)).to_contain_text("pinned")
    page.get_by_label("Days to publish").fill("28")
    manager.follow(page.get_by_role("button", name="Publish"))
    expect_said(page, "Published to")


def where_it_stands(week: Week) -> Page:
    """Open the shop days on which the barring work stands: the night may have moved it since."""
    for days in (0, 7, 14, 21):
        first = week.cast.today + timedelta(days=days)
        page = week.manager.open(f"/shop-days/?day={first}")
        if planned_work(page, week).count():
            return page
    raise AssertionError(f"{week.cast.work_key} stands on no shop day")


def planned_work(page: Page, week: Week) -> Locator:
    """Return the line of the machine's visit where its barring work stands on a shop day."""
    tag = page.locator("summary b", has_text=re.compile(f"^{re.escape(week.cast.overdue.tag)}$"))
    line = page.locator(".job-card", has=tag)
    return line.filter(has=page.locator(".job-what", has_text=week.cast.overdue_service))


def the_mechanic_prints_the_list(week: Week) -> None:
    """The batch list on paper carries the cautions and says what comes first."""
    page = week.mechanic.open(f"/bench/?day={week.cast.pin_day}")
    expect(page.locator("main")).not_to_contain_text("not published yet")
    expect(page.locator(".sheet", has_text=week.cast.overdue.tag)).to_contain_text("pinned")
    week.mechanic.can_be_pressed_with_gloves()
    caution = page.locator(".caution .what").first.inner_text()
    week.mechanic.follow(page.get_by_role("link", name="On paper"))
    paper = paper_of(page, week.site.data)
    for said in (week.cast.overdue.tag, week.cast.overdue_service, caution, "Pull list"):
        assert squeezed(said) in paper
    assert MANUAL_FIRST in paper


def the_mechanic_finishes_the_job(week: Week) -> None:
    """The sheet opens with cautions, steps and limits; it is finished with what was read."""
    overdue, mechanic = week.cast.overdue, week.mechanic
    page = mechanic.open(f"/bench/?day={week.cast.pin_day}")
    mechanic.follow(page.get_by_role("link", name=f"Open {overdue.tag}"))
    for part in (".caution .signal", ".steps li", ".manual-first"):
        expect(page.locator(part).first).to_be_visible()
    mechanic.can_be_pressed_with_gloves()
    for box in page.locator("[name=done]").all():
        box.check()
    answer_checks(page)
    for dial in overdue.dials:
        page.fill(f"[name=reading_{dial.kind}]", dial.more(0.5))
    for limit in page.locator("[name^=limit_]").all():
        limit.fill(a_good_measure(limit.locator("xpath=..").inner_text()))
    page.get_by_label("Minutes of work").fill("95")
    page.get_by_label("Something else seen").fill("left tail lamp lens cracked")
    page.get_by_label("defect", exact=True).check()
    mechanic.follow(page.get_by_role("button", name="Finish what is ticked"))
    expect_said(page, "in the book")


def due_points_blocks_and_plan_have_moved(week: Week) -> None:
    """The book, the due points and the blocks at once; the plan with the next night."""
    cast = week.cast
    page = week.manager.open(f"/machines/{cast.overdue.tag}/")
    expect(page.locator("#book")).to_contain_text("Ingrid Solway")
    expect(page.locator("#book")).to_contain_text(cast.overdue_service)
    expect(page.locator("#findings")).to_contain_text("left tail lamp lens cracked")
    expect(page.locator("#blocks", has_text="overdue")).to_have_count(0)
    title = page.locator("strong", has_text=cast.overdue_service)
    row = page.locator("#services tr", has=title)
    expect(row).to_contain_text("today")
    expect(row).not_to_contain_text("overdue")
    week.site.night()
    page = week.manager.open(f"/shop-days/?day={cast.pin_day}")
    expect(planned_work(page, week)).to_have_count(0)
    expect(overdue_line(week.manager, cast.overdue.tag)).to_have_count(0)


def it_goes_out_and_comes_back(week: Week) -> None:
    """The counter lets the machine out, since nothing stands against it now, and takes it back."""
    tag, dials, desk = week.cast.overdue.tag, week.cast.overdue.dials, week.desk
    page = desk.open(week.booking)
    desk.follow(page.get_by_role("link", name="Check out"))
    expect(page.locator(".answer")).to_contain_text(f"{tag} may go out")
    fill_hand_over(page, dials, 0.5)
    desk.follow(page.get_by_role("button", name=f"Check out {tag}"))
    expect_said(page, f"{tag} is out.")
    desk.follow(page.get_by_role("link", name="Take back"))
    fill_hand_over(page, dials, 0.6)
    desk.follow(page.get_by_role("button", name=f"Take back {tag}"))
    expect(page.locator(".answer")).to_contain_text("back since")
    expect(page.locator("main")).to_contain_text(f"{float(dials[-1].more(0.6)):,.1f} h")
