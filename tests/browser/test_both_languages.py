"""Pages of a mechanic, of a hand and of a label, in English and Spanish, by day and by night.

Each is opened once a language at a phone's width: held against all rules in one colour scheme, and
against that of contrast, which alone goes by colours, in the other.
"""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils import timezone

from fleet.models import Caution, Person, Role, Tongue
from tests import every_page
from tests.browser.conftest import DESKTOP, PHONE
from tests.browser.visitor import CUT_OFF, RULES, UNFOLD
from tests.made_fleet import make_fleet
from tests.scheduling.bench_data import bench_case

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
CONTRAST = {"runOnly": ["color-contrast"]}
SCHEMES = {Tongue.ENGLISH: ("light", "dark"), Tongue.SPANISH: ("dark", "light")}
"""All rules in the first, contrast in the second."""
OF_MECHANIC = (
    "bench", "job", "bench-paper", "machines", "machine", "scan", "faults", "fault", "finding",
    "record", "hold-machine", "procedure", "labels", "shelf", "order-list", "meter-round",
    "shop-days", "letters", "readings-to-mend",
)  # fmt: skip
OF_HAND = ("meter-round", "scan", "no-signal")
OF_NOBODY = ("sign-in", "hand-code")
CUT_WORDS = """
[...document.querySelectorAll("main *, header *")]
  .filter(each => !each.closest(".out-of-sight, svg, .caution-fold:not([open])"))
  .filter(each => each.textContent.trim() && each.clientWidth > 1)
  .filter(each => each.scrollWidth > each.clientWidth + 1)
  .filter(each => ["hidden", "clip"].includes(getComputedStyle(each).overflowX))
  .map(each => [each.className, each.textContent.trim().slice(0, 40)])
"""
"""What is wider than the place it has, and of which the rest cannot be brought into sight."""


def addresses(names):
    """Return the addresses of pages by name, each about the first thing that it may be about."""
    pages = {page.name: page for page in every_page.pages()}
    return {
        name: reverse(pages[name].called, kwargs=next(iter(pages[name].examples))) for name in names
    }


def broken_rules(page, options):
    found = Axe().run(page, options=options).response["violations"]
    return [(one["id"], [node["target"] for node in one["nodes"]][:3]) for one in found]


def faults_of(page, address, language):
    """Open a page and return what is wrong with it, by what it is about."""
    page.goto(address)
    assert page.evaluate("document.documentElement.lang") == language
    page.evaluate(UNFOLD)
    first, second = SCHEMES[language]
    page.emulate_media(color_scheme=first)
    faults = {"rules": broken_rules(page, RULES)}
    page.emulate_media(color_scheme=second)
    return faults | {
        "contrast": broken_rules(page, CONTRAST),
        "wider than the screen": max(0, page.evaluate(CUT_OFF)),
        "cut": page.evaluate(CUT_WORDS),
    }


@pytest.mark.parametrize(
    ("role", "names"),
    [(Role.MECHANIC, OF_MECHANIC), (Role.HAND, OF_HAND), (None, OF_NOBODY)],
    ids=["mechanic", "hand", "signed out"],
)
@pytest.mark.parametrize("language", list(Tongue))
def test_pages_can_be_read_in_each_language_by_day_and_by_night(
    open_page, live_server, role, names, language
):
    made = make_fleet(timezone.now(), "Zz")
    person = made.people[role] if role else None
    Person.objects.update(language=language)
    page = open_page(person, reverse("no-signal"), PHONE)
    page.context.set_extra_http_headers({"Accept-Language": language.value})
    found = {
        (name, about): faults
        for name, address in addresses(names).items()
        for about, faults in faults_of(page, live_server.url + address, language).items()
        if faults
    }
    assert found == {}


@pytest.mark.parametrize("language", list(Tongue))
def test_the_open_menu_is_no_wider_than_the_screen_and_cuts_no_word(open_page, language):
    person = make_fleet(timezone.now(), "Zz").people[Role.MECHANIC]
    Person.objects.update(language=language)
    page = open_page(person, reverse("bench"), PHONE)
    page.click("details.menu-fold > summary")
    assert page.evaluate(CUT_OFF) <= 0
    assert page.evaluate(CUT_WORDS) == []
    wide = "each => each.scrollWidth > each.clientWidth"
    assert page.locator(".menu-fold .menu a").evaluate_all(f"all => all.filter({wide}).length") == 0


BESIDE_THE_EDGE = """
[...document.querySelectorAll(".caution .signal")].map(cell => {
  const word = document.createRange();
  word.selectNodeContents(cell);
  return cell.getBoundingClientRect().right - word.getBoundingClientRect().right;
})
"""
"""Pixels between each signal word and the end of its field of colour."""


@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desk"])
@pytest.mark.parametrize("language", list(Tongue))
def test_a_signal_word_does_not_touch_the_edge_of_its_field(open_page, language, size):
    case = bench_case(timezone.now().date())
    Person.objects.update(language=language)
    for signal in Caution.Signal.values:
        Caution.objects.create(code=f"x-{signal}", signal=signal, text="It bites.", source="ours")
    case.service.cautions.set(Caution.objects.filter(code__startswith="x-"))
    page = open_page(case.mechanic, f"{reverse('bench')}?day={case.job.day}", size)
    kept = page.evaluate(BESIDE_THE_EDGE)
    assert len(kept) >= len(Caution.Signal.values)
    assert min(kept) >= 4


def test_a_cut_word_and_a_pale_one_are_found(open_page):
    page = open_page(None, reverse("sign-in"), PHONE)
    page.evaluate(
        """() => {
          const line = document.createElement("p");
          line.textContent = "Mantenimiento ".repeat(20);
          Object.assign(line.style, {whiteSpace: "nowrap", overflow: "hidden", color: "#bbbbbb"});
          document.querySelector("main").append(line);
        }"""
    )
    assert [text[:13] for _, text in page.evaluate(CUT_WORDS)] == ["Mantenimiento"]
    assert [rule for rule, _ in broken_rules(page, CONTRAST)] == ["color-contrast"]
