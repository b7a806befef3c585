"""Sheets of labels: each on its place, its code read back as a phone does."""

import shutil
import subprocess

import pytest
import zxingcpp
from PIL import Image

from fleet.labels.label_file import MachineLabel, label_file
from fleet.labels.label_papers import PAPERS
from tests.require import require


def label(number, tag=None):
    return MachineLabel(
        tag or f"Q-{number:02d}", "Tarnbeck T20", "Home yard",
        f"https://fleet.example.org/scan/{number}/",
    )  # fmt: skip


@pytest.fixture
def printed(tmp_path):
    """Print sheets: the pictures of their pages, at the sharpness of a cheap printer."""
    require(shutil.which("pdftoppm"), "pdftoppm (poppler-utils)")

    def of(file):
        (tmp_path / "labels.pdf").write_bytes(file)
        subprocess.run(
            ["pdftoppm", "-r", "200", "-gray", "-png", "labels.pdf", "page"],
            cwd=tmp_path, check=True,
        )  # fmt: skip
        return [Image.open(page).convert("L") for page in sorted(tmp_path.glob("page*.png"))]

    return of


@pytest.mark.parametrize("name", PAPERS)
def test_every_code_of_a_sheet_reads_as_its_address(printed, name):
    paper = PAPERS[name]
    rows = [label(number) for number in range(1, paper.count + 1)]
    (page,) = printed(label_file(rows, paper))
    read = zxingcpp.read_barcodes(page)
    assert {code.text for code in read} == {row.address for row in rows}


def test_a_code_of_which_a_corner_is_rubbed_off_still_reads(printed):
    paper = PAPERS["letter-6"]
    (page,) = printed(label_file([label(7)], paper))
    (code,) = zxingcpp.read_barcodes(page)
    corner, other = code.position.bottom_right, code.position.top_left
    side = (corner.x - other.x) // 5
    page.paste(255, (corner.x - side, corner.y - side, corner.x + 3, corner.y + 3))
    assert [found.text for found in zxingcpp.read_barcodes(page)] == [label(7).address]


def test_a_sheet_that_was_begun_goes_on_at_its_first_free_label(printed):
    paper = PAPERS["a4-8"]
    pages = printed(label_file([label(1), label(2), label(3)], paper, first=6))
    assert [len(zxingcpp.read_barcodes(page)) for page in pages] == [2, 1]
    places = [code.position.top_left for code in zxingcpp.read_barcodes(pages[0])]
    assert all(place.y > pages[0].height * 0.75 for place in places)


def test_labels_lie_on_their_sheet_and_none_on_another():
    for paper in PAPERS.values():
        places = [paper.place(number) for number in range(paper.count)]
        for x, y in places:
            assert 0 <= x <= paper.page[0] - paper.size[0] + 0.01
            assert -0.01 <= y <= paper.page[1] - paper.size[1] + 0.01
        assert len({(round(x), round(y)) for x, y in places}) == paper.count


def test_a_long_tag_stands_whole_on_the_smallest_label(tmp_path):
    require(shutil.which("pdftotext"), "pdftotext (poppler-utils)")
    tag = "EXCAVATOR-MINI-00017"
    (tmp_path / "one.pdf").write_bytes(label_file([label(1, tag)], PAPERS["a4-24"]))
    said = subprocess.run(
        ["pdftotext", "-layout", "one.pdf", "-"], cwd=tmp_path, capture_output=True, check=True
    )
    assert tag in said.stdout.decode()
