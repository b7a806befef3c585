"""Choosing whose labels are printed."""

import pytest
from django.urls import reverse

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
