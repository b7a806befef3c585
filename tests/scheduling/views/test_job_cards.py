"""A day's job cards as a PDF, read back: pages, one a card, and what stands on each."""

import re
import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import pytest
import zxingcpp
from django.contrib.staticfiles import finders
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.translation import override
from PIL import Image

from fleet.models import Caution, ServiceRecord, StepPicture, StockMovement, Tongue
from fleet.procedures import ShownPicture
from fleet.procedures.drawings import HIGH, STATIC, WIDE, drawings
from fleet.saying import short_date
from fleet.tongues.phrase_book import spoken
from scheduling.models import PlannedJob, PlannedWork
from scheduling.views.card_pictures import card_picture
from scheduling.views.card_setting import SIZES
from scheduling.views.job_card_file import LIST_PAGES, SIDES
from tests import factories
from tests.factories import NOON, TODAY
from tests.pages import words as words_of
from tests.require import require
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


def file_of(client, **asked):
    answer = client.get(reverse("bench-cards"), {"day": TODAY.isoformat(), **asked})
    assert answer.headers["Content-Type"] == "application/pdf"
    return answer.content


def pages(client, **asked):
    """Return the words of each page, as they are read back."""
    require(shutil.which("pdftotext"), "pdftotext (poppler-utils)")
    read = subprocess.run(
        ["pdftotext", "-layout", "-", "-"],
        input=file_of(client, **asked), capture_output=True, check=True,
    )  # fmt: skip
    return [" ".join(page.split()) for page in read.stdout.decode().split("\f")[:-1]]


def one_more(case, tag):
    """Plan the same service on another machine for the same day."""
    machine = factories.Machine(tag=tag, yard=case.machine.yard)
    for fluid in case.machine.makeup.fluids.all():
        machine.makeup.fluids.create(
            place=fluid.place, capacity_ml=fluid.capacity_ml, part=fluid.part
        )
    job = PlannedJob.objects.create(
        plan=case.job.plan, machine=machine, day=TODAY, mechanic=case.mechanic, minutes=60,
        position=2,
    )  # fmt: skip
    PlannedWork.objects.create(
        plan=job.plan, job=job, machine=machine, work_key=f"m:{machine.pk}:{case.service.pk}",
        service=case.service, minutes=60,
    )  # fmt: skip


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def test_a_card_says_all_that_the_sheet_does(client, case):
    limit = case.service.limits.get()
    record = ServiceRecord.objects.create(
        machine=case.machine, service=case.service, done_at=NOON, entered_at=NOON
    )
    record.measurements.create(limit=limit, value=240)
    limit.places = "left, right"
    limit.save()
    case.machine.alterations.create(text="longer boom")
    case.service.steps.create(
        position=2, kind="fill", place="engine oil", text="Fill {quantity}", key="fill"
    )
    first, card = pages(client)
    for words in ("1. Q-1", "Engine oil and filter", "Pull list", "oil 10W-30", "2.1 qt",
                  "Hot oil burns.", "19 mm socket", "sump washer"):  # fmt: skip
        assert words in first, words
    for words in ("1. Q-1", "Hour meter, last 120.0 h", "Altered: longer boom",
                  "WARNING Hot oil burns.", "Drain warm", "Fill 2.11 qt",
                  "Oil pressure, left, kPa at least 200", "Oil pressure, right, kPa",
                  "Takes:", "Minutes of work", "Done by", "Seen"):  # fmt: skip
        assert words in card, words


def test_the_source_of_a_limit_stands_beside_it_once(client, case):
    case.service.limits.update(
        source="49 CFR 393.75(c): 2/32 inch (from memory)", places="left, right"
    )
    card = pages(client)[1]
    assert card.count("393.75(c)") == 1
    assert "2/32" not in card


def test_what_does_in_place_of_what_lacks_is_on_the_pull_list(client, case):
    other = factories.Part(number="OF-2", name="long filter")
    case.machine.makeup.fitting_parts.update(instead=other)
    StockMovement.objects.create(
        part=other, shop=case.mechanic.shop, quantity=1, reason="count", at=NOON
    )
    first, card = pages(client)
    assert "in its place pull 1 OF-2 long" in first
    assert "OF-1 oil filter 1 (take 1 OF-2 long filter in its place)" in card
    assert "oil 10W-30 2.1 qt" in card  # as it was


def on_paper(client):
    text = words_of(client.get(reverse("bench-paper"), {"day": TODAY.isoformat()}))
    return text.replace("( ", "(").replace(" )", ")")


def test_the_card_names_the_substitute_in_spanish_on_paper_and_in_the_file(client, case):
    other = factories.Part(number="OF-2", name="long filter")
    case.machine.makeup.fitting_parts.update(instead=other)
    StockMovement.objects.create(
        part=other, shop=case.mechanic.shop, quantity=1, reason="count", at=NOON
    )
    paper = on_paper(client)
    assert "OF-1 oil filter 1 (take 1 OF-2 long filter in its place)" in paper
    case.mechanic.language = "es"
    case.mechanic.save()
    for said in (on_paper(client), pages(client)[1]):
        assert "(tome 1 OF-2" in said
        assert "en su lugar)" in said


def test_a_caution_is_whole_at_the_head_of_a_card_and_short_at_its_step(client, case):
    caution = case.service.cautions.get()
    caution.text = "Hot oil burns. Let it cool first."
    caution.save()
    case.service.steps.update(caution=caution)
    case.service.steps.create(
        position=9, key="first", kind="caution", text="Read this before you go on.", caution=caution
    )
    card = pages(client)[1]
    assert card.count("WARNING Hot oil burns.") == 3
    assert card.count("Let it cool first.") == 1
    assert "1. WARNING Hot oil burns. Drain warm" in card
    assert "Read this before you go on." not in card


def test_each_card_has_a_sheet_of_its_own_however_long_it_is(client, case):
    one_more(case, "Q-2")
    for number in range(3, 60):
        case.service.steps.create(position=number, key=f"s{number}", text=f"Step {number} " * 10)
    for number in range(6):
        case.service.cautions.add(
            Caution.objects.create(
                code=f"c{number}", signal="danger", text=f"It crushes, {number}.", source="ours"
            )
        )
    read = pages(client)
    starts = [n for n, page in enumerate(read) if page.startswith(("1. Q-1 ", "2. Q-2 "))]
    assert 1 <= starts[0] <= LIST_PAGES
    for number, tag in enumerate(("Q-1", "Q-2"), 1):
        sides = [page for page in read if page.startswith(f"{number}. {tag} ")]
        assert 1 <= len(sides) <= SIDES  # of one sheet
        card = " ".join(sides)
        for words in ("Step 3 ", "Step 59 ", "It crushes, 5.", "Done by"):
            assert words in card, words


def test_a_long_day_has_its_list_on_two_pages_at_the_most(client, case):
    for number in range(2, 14):
        one_more(case, f"Q-{number}")
    read = pages(client)
    assert len(read) - 13 <= LIST_PAGES
    assert all(f"{number}. Q-{number}" in read[-14 + number] for number in range(1, 14))


def test_the_queries_stay_as_many(client, case):
    def counted():
        with CaptureQueriesContext(
            connection,
        ) as seen:
            pages(client)
        return len(seen)

    one = counted()
    for number in range(2, 6):
        one_more(case, f"Q-{number}")
    assert counted() <= one


def test_the_manager_prints_a_mechanics_day_by_one_press(client, case):
    client.force_login(case.manager)
    name = case.mechanic.username
    asked = {"day": TODAY.isoformat(), "mechanic": name}
    page = client.get(reverse("bench"), asked).text
    assert f"{reverse('bench-cards')}?day={TODAY}&amp;mechanic={name}" in page
    assert "Q-1" in pages(client, mechanic=name)[1]


def test_a_day_without_work_is_one_page_that_says_so(client, case):
    (only,) = pages(client, day="2026-03-03")
    assert "Nothing is left." in only


def test_the_desk_prints_none(client, case):
    client.force_login(factories.Person(role="desk"))
    assert client.get(reverse("bench-cards")).status_code == 403


def test_the_code_of_a_card_leads_to_its_machine(client, case, settings):
    require(shutil.which("pdftoppm"), "pdftoppm (poppler-utils)")
    drawn = subprocess.run(
        ["pdftoppm", "-r", "150", "-gray", "-png", "-f", "2", "-l", "2", "-"],
        input=file_of(client), capture_output=True, check=True,
    )  # fmt: skip
    (code,) = zxingcpp.read_barcodes(Image.open(BytesIO(drawn.stdout)))
    assert code.text == settings.BASE_URL + reverse("scan", args=[case.machine.pk])


# -- pictures


def shows_photo(case, settings, folder):
    """Let the service's first step show a photo of the shop's own."""
    settings.PHOTOS = str(folder)
    Image.new("RGB", (600, 400), "red").save(folder / "own.jpg")
    own = StepPicture.objects.create(
        name="own.jpg", wide=600, high=400, digest="a", shows="Ours", by=case.mechanic, at=NOON
    )
    case.service.steps.update(picture=own)


def images(client):
    """Return the page of each image in the file."""
    require(shutil.which("pdfimages"), "pdfimages (poppler-utils)")
    read = subprocess.run(
        ["pdfimages", "-list", "-"], input=file_of(client), capture_output=True, check=True
    )
    return [int(line.split()[0]) for line in read.stdout.decode().splitlines()[2:]]


def test_a_picture_stands_at_its_step(client, case, settings, tmp_path):
    assert images(client) == []
    shows_photo(case, settings, tmp_path)
    assert images(client) == [2]
    (tmp_path / "own.jpg").unlink()  # a card is printed without a file that is gone
    assert images(client) == []


def test_no_card_is_set_smaller_for_its_pictures(client, case, settings, tmp_path):
    shows_photo(case, settings, tmp_path)
    for number in range(3, 54):
        case.service.steps.create(position=number, key=f"s{number}", text=f"Step {number} " * 9)
    case.service.steps.update(drawing="toe")
    read = pages(client)
    assert len(read) == 2
    assert "Step 53 " in read[1]
    assert images(client) == []


@pytest.mark.parametrize("name", sorted(drawings()))
def test_each_drawing_is_drawn_line_by_line(name):
    wide = 90.0
    drawn = card_picture(ShownPicture("", drawing=name), wide)
    assert (drawn.width, drawn.height) == (wide, wide * HIGH / WIDE)
    left, low, right, top = drawn.getBounds()
    assert -1 <= left < right <= wide + 1
    assert -1 <= low < top <= wide * HIGH / WIDE + 1
    file = Path(finders.find(f"{STATIC}/{name}.svg")).read_text("utf-8")
    assert len(drawn.contents[0].contents) == file.count("\n<") - 1  # each line of it is a shape
    assert drawn.asString("pdf").startswith(b"%PDF")


def test_cards_are_printed_in_the_mechanics_language(client):
    case = bench_case()
    machine_class = case.machine.makeup.machine_class
    machine_class.name = "Quad"
    machine_class.save()
    case.mechanic.language = Tongue.SPANISH
    case.mechanic.save()
    client.force_login(case.mechanic)
    listed, card = pages(client)
    with override("es"):
        day = spoken(short_date(TODAY, TODAY))
    assert day != short_date(TODAY, TODAY)
    assert day in listed
    assert "Cuatrimoto, " in card


def test_what_one_page_does_not_hold_takes_two_that_can_be_read_in_a_barn(client, case):
    """57 steps of 150 letters: on one page they would be of 4 points."""
    for number in range(3, 60):
        text = f"Step {number} " * 20
        case.service.steps.create(position=number, key=f"s{number}", text=text)
    one_more(case, "Q-2")
    read = pages(client)
    assert len(read) == 5
    assert ("Step 59 " in read[1], "Step 59 " in read[2]) == (False, True)
    assert read[2].startswith("1. Q-1")  # the back of a sheet says whose it is
    assert read[3].startswith("2. Q-2")
    assert smallest_type(client) >= SIZES[-1] * HEIGHT


HEIGHT = 0.92
"""Of a line of Helvetica as it is read back, in parts of its size."""


def test_no_card_is_shrunk_however_much_is_done_in_one_visit(client, case):
    for number in range(3, 160):
        case.service.steps.create(position=number, key=f"s{number}", text=f"Step {number} " * 20)
    read = pages(client)
    assert len(read) > 1 + SIDES
    assert all(page.startswith("1. Q-1") for page in read[1:])
    assert smallest_type(client) >= SIZES[-1] * HEIGHT


def smallest_type(client):
    """Return the height of the smallest line of text, in points."""
    read = subprocess.run(
        ["pdftotext", "-bbox", "-", "-"], input=file_of(client), capture_output=True, check=True
    ).stdout.decode()
    heights = [
        float(low) - float(high)
        for high, low in re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)"', read)
    ]
    return min(heights)
