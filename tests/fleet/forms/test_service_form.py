"""What the sheet of a service refuses."""

import pytest
from django.forms import model_to_dict

from fleet.forms.service_form import ServiceForm
from fleet.models import Service
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def oil():
    return factories.Service(name="Oil", code="oil")


def form(service, **given):
    fields = {key: "" if value is None else value for key, value in model_to_dict(service).items()}
    return ServiceForm({**fields, **given}, instance=Service.objects.get(pk=service.pk))


def test_a_service_that_keeps_to_the_rules_is_taken(oil):
    road = factories.Service()
    made = form(oil, follows=[road.pk], second_minutes=30, second_for="hold the load")
    assert made.is_valid(), made.errors
    assert list(made.save().follows.all()) == [road]


def test_a_service_cannot_follow_itself_or_keep_apart_from_itself(oil):
    faults = form(oil, follows=[oil.pk], apart_from=[oil.pk]).errors
    assert faults["follows"] == ["A service cannot follow itself; take it off the list."]
    assert faults["apart_from"] == [
        "A service cannot keep apart from itself; take it off the list."
    ]


def test_a_circle_is_told_link_by_link(oil):
    road, wash = factories.Service(name="Road test"), factories.Service(name="Wash")
    road.follows.add(wash)
    wash.follows.add(oil)
    assert form(oil, follows=[road.pk]).errors["follows"] == [
        "That is a circle: Oil, which follows Road test, which follows Wash, which follows Oil."
        " Take one of them off one of the lists."
    ]


def test_a_circle_may_lead_over_a_service_that_covers(oil):
    """Big covers oil and follows the road test, so the road test cannot follow oil."""
    road, big = factories.Service(name="Road"), factories.Service(name="Big")
    factories.cover(factories.MakeUp(), big, oil)
    big.follows.add(road)
    said = form(road, follows=[oil.pk]).errors["follows"][0]
    assert "Road, which follows Big, which follows Road" in said


def test_what_it_covers_it_neither_follows_nor_keeps_apart_from(oil):
    small = factories.Service(name="Small")
    factories.cover(factories.MakeUp(), oil, small)
    for field in ("follows", "apart_from"):
        assert "It covers Small" in form(oil, **{field: [small.pk]}).errors[field][0]


@pytest.mark.parametrize(
    ("given", "field", "sentence"),
    [
        ({"second_minutes": 61}, "second_minutes", "Help cannot take longer than the work itself"),
        ({"minutes": 1441}, "minutes", "tick that it may go over several days"),
    ],
)
def test_minutes_that_no_visit_could_keep(oil, given, field, sentence):
    assert sentence in form(oil, **given).errors[field][0]


def test_a_long_service_over_several_days_and_help_of_a_skill(oil):
    skill = factories.Skill()
    faults = form(oil, second_skill=skill.pk).errors
    assert faults["second_minutes"] == ["Say how many minutes the second person is needed."]
    assert form(oil, minutes=2000, several_days=True).is_valid()
