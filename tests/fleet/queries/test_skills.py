"""Who holds a skill on a day."""

from datetime import date, timedelta

import pytest

from fleet.models import Qualification
from fleet.queries.skills import holds, skills_on, why_not_held
from tests import factories
from tests.factories import TODAY

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("until", "held"), [(None, True), (TODAY, True), (TODAY - timedelta(1), False)]
)
def test_a_certificate_holds_to_its_last_day(until, held):
    person, skill = factories.Person(), factories.Skill(name="inspector")
    Qualification.objects.create(person=person, skill=skill, valid_until=until)
    assert holds(person, skill, TODAY) is held


def test_a_lent_hand_holds_what_they_were_lent_for_while_they_are_here():
    skill = factories.Skill(name="inspector")
    lent = factories.LentHand(skilled=[skill])
    assert holds(lent.person, skill, TODAY)
    assert not holds(lent.person, skill, date(2026, 3, 9))


def test_skills_of_many_people_take_as_many_queries_as_of_one(django_assert_num_queries):
    people = [factories.Mechanic() for _ in range(4)]
    with django_assert_num_queries(2):
        assert all(len(held) == 1 for held in skills_on(people, TODAY).values())


def test_it_says_whether_a_skill_was_never_held_or_ran_out():
    person, skill = factories.Person(first_name="Ingrid"), factories.Skill(name="inspector")
    assert why_not_held(person, skill) == "Ingrid does not hold the skill inspector"
    Qualification.objects.create(person=person, skill=skill, valid_until=date(2026, 2, 3))
    assert why_not_held(person, skill) == "Ingrid's certificate for inspector ran out on 3 Feb 2026"
