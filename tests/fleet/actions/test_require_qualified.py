"""Inspections are for a qualified person."""

from datetime import date

import pytest

from fleet.actions.require_qualified import refuse_unqualified
from fleet.models import Qualification, Skill
from fleet.refusal import Refusal
from tests import factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspector():
    return Skill.objects.create(name="inspector", by_certificate=True)


def test_only_who_holds_the_certificate_that_day_passes(inspector):
    person = factories.Mechanic(first_name="Ingrid")
    row = Qualification.objects.create(person=person, skill=inspector, valid_until=TODAY)
    refuse_unqualified(person, [inspector], TODAY)
    row.valid_until = date(2026, 3, 1)
    row.save()
    with pytest.raises(Refusal, match="Ingrid's certificate for inspector ran out on 1 Mar 2026"):
        refuse_unqualified(person, [inspector], TODAY)


def test_a_skill_without_certificate_binds_the_plan_alone(inspector):
    refuse_unqualified(factories.Person(), [factories.Skill(name="welding")], TODAY)


def test_a_lent_inspector_passes_while_they_are_here(inspector):
    lent = factories.LentHand(skilled=[inspector])
    refuse_unqualified(lent.person, [inspector], TODAY)
    with pytest.raises(Refusal, match="does not hold the skill inspector"):
        refuse_unqualified(lent.person, [inspector], date(2026, 3, 9))
