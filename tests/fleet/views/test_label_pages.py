"""Choosing whose labels are printed."""

import pytest
from django.urls import reverse

from fleet.labels.label_papers import PAPERS
from fleet.labels.label_parts import PLACES
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def yard():
    return factories.Yard(name="Home yard")


@pytest.fixture
def signed_in(client, yard):
    client.force_login(factories.Person(shop=yard.shop, role="mechanic"))
    return client


def page(client, **asked):
    return client.get(reverse("labels"), asked).content.decode()


def test_it_says_how_many_and_leads_to_the_sheet(signed_in, yard):
    factories.Machine.create_batch(3, yard=yard)
    factories.Machine(yard=yard, retired_on="2026-01-02")
    factories.Machine(yard=factories.Yard())
    text = page(signed_in, paper="a4-8")
    assert "3 labels, ready to print." in text
    assert "/labels/sheet.pdf?paper=a4-8" in text


def test_by_tags_and_a_tag_that_is_not_there_is_named(signed_in, yard):
    factories.Machine(yard=yard, tag="Q-01")
    factories.Machine(yard=yard, tag="Q-02")
    assert "1 label, ready to print." in page(signed_in, paper="a4-8", tags="q-02")
    assert "There is no machine “Q-9”" in page(signed_in, paper="a4-8", tags="Q-01, Q-9")


def test_the_sheet_is_a_pdf(signed_in, yard):
    factories.Machine(yard=yard)
    answer = signed_in.get(reverse("label-sheet"), {"paper": "letter-10", "first": 3})
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_a_sheet_asked_for_wrongly_is_refused_with_a_sentence(signed_in):
    answer = signed_in.get(reverse("label-sheet"), {"paper": "letter-10", "first": 99})
    assert answer.status_code == 400
    assert "No sheet has more than 60 labels." in answer.content.decode()


@pytest.fixture
def many(yard, monkeypatch):
    """Seven machines, of which a file holds three labels."""
    monkeypatch.setattr("fleet.labels.label_parts.PLACES", 3)
    return [factories.Machine(yard=yard, tag=f"Q-{n}") for n in range(1, 8)]


def test_more_than_one_file_holds_are_reached_part_by_part(signed_in, many):
    text = page(signed_in, paper="a4-8")
    assert "7 labels, ready to print." in text
    assert "Open the sheet to print" not in text
    for said in ("1 of 3: Q-1 to Q-3", "2 of 3: Q-4 to Q-6", "3 of 3: Q-7 to Q-7"):
        assert said in text
    assert "/labels/sheet.pdf?paper=a4-8&amp;part=3" in text


def test_a_sheet_that_was_begun_holds_less_and_the_next_part_begins_a_sheet(signed_in, many):
    text = page(signed_in, paper="a4-8", first=3)
    assert "1 of 3: Q-1 to Q-1" in text
    assert "3 of 3: Q-5 to Q-7" in text


def test_each_label_stands_in_one_part(signed_in, many, monkeypatch):
    made = []
    monkeypatch.setattr(
        "fleet.views.label_pages.label_file",
        lambda rows, paper, at: made.append(([row.tag for row in rows], at)) or b"%PDF",
    )
    for part in ("1", "2", "3"):
        signed_in.get(reverse("label-sheet"), {"paper": "a4-8", "first": 2, "part": part})
    assert made == [(["Q-1", "Q-2"], 1), (["Q-3", "Q-4", "Q-5"], 0), (["Q-6", "Q-7"], 0)]


@pytest.mark.parametrize("part", ["0", "4", "-1", "x", "٢", ""])
def test_a_part_that_is_not_there_has_no_page(signed_in, many, part):
    answer = signed_in.get(reverse("label-sheet"), {"paper": "a4-8", "part": part})
    assert answer.status_code == 404


def test_a_file_holds_whole_sheets_of_every_paper():
    assert [PLACES % paper.count for paper in PAPERS.values()] == [0] * len(PAPERS)
