"""What the sheet of a lent hand refuses."""

import pytest

from fleet.forms.lent_hand_form import LentHandForm
from tests import factories

pytestmark = pytest.mark.django_db


def form(**given):
    fields = {"shop": factories.Shop().pk, "name": "Runa", "hours": 8,
              "first_day": "2026-03-02", "last_day": "2026-03-06"}  # fmt: skip
    return LentHandForm({**fields, **given})


def test_somebody_from_outside_needs_skills():
    assert "Say what they can do" in form().errors["skills"][0]
    assert form(skills=[factories.Skill().pk]).is_valid()


def test_our_own_people_bring_their_skills():
    assert form(name="", person=factories.Mechanic().pk).is_valid()
