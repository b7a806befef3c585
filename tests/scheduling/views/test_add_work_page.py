"""A service that is neither planned nor nearly due is put on a sheet, and done there."""

import pytest
from django.urls import reverse

from fleet.models import Role, ServiceRecord
from tests import consequences, factories
from tests.factories import TODAY, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, filled

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    return case


@pytest.fixture
def belt(case):
    """A service of the make-up that is far from due."""
    belt = factories.Service(code="belt", name="Drive belt")
    belt.steps.create(position=1, key="dust", kind="do", text="Blow the dust out")
    factories.Interval(service=belt, makeup=case.machine.makeup, every=1500)
    consequences.DuePoint(machine=case.machine, service=belt, state="clear")
    return belt


def add(client, service, **typed):
    place = f"{reverse('add-work', args=['Q-1'])}?day={TODAY}"
    return client.post(place, filled(done=[], service=service.pk, **typed), follow=True)


def test_the_sheet_lists_what_the_make_up_has_and_is_not_on_it(client, case, belt):
    factories.Service(code="mast", name="Lift chains")
    listed = client.get(address(case)).context["can_add"]
    assert list(listed) == [belt]


def test_it_is_added_by_one_press_ticked_with_its_steps_and_what_was_typed(client, case, belt):
    page = add(client, belt, note="belt squeals", minutes="30")
    key = key_of("Q-1", "belt")
    for words in (
        f'name="done" value="{key}" checked', "Blow the dust out", "belt squeals",
        'name="minutes" value="30"', f'name="added" value="{key}"',
        'name="reading_hours" value="125.5"',
    ):  # fmt: skip
        assert words in page.text, words
    assert list(page.context["can_add"]) == []


def test_it_is_finished_like_any_other(client, case, belt):
    add(client, belt)
    key = key_of("Q-1", "belt")
    client.post(address(case), filled(done=[key], added=[key]))
    assert ServiceRecord.objects.get().service == belt
    assert "Added to this sheet" not in client.get(address(case)).text


def test_it_stays_added_when_it_is_left_under_way(client, case, belt):
    add(client, belt)
    key = key_of("Q-1", "belt")
    place = f"{reverse('leave-work', args=['Q-1'])}?day={TODAY}"
    client.post(place, filled(done=[key], added=[key], worked="10", left="20"))
    assert "Added to this sheet" in client.get(address(case)).text


def test_what_the_make_up_does_not_have_is_refused(client, case):
    other = factories.Service(code="mast", name="Lift chains")
    assert "does not have that service" in add(client, other).text
    key = key_of("Q-1", "mast")
    assert (
        "no longer on the sheet" in client.post(address(case), filled(done=[key], added=[key])).text
    )


def test_what_a_planned_service_counts_as_is_on_the_sheet(client, case, belt):
    factories.cover(case.machine.makeup, case.service, belt)
    assert list(client.get(address(case)).context["can_add"]) == []


def test_adding_wants_a_post_and_a_mechanic_of_that_shop(client, case):
    place = reverse("add-work", args=["Q-1"])
    assert client.get(place).status_code == 405
    client.force_login(factories.Mechanic())
    assert client.post(place).status_code == 404
    client.force_login(factories.Person(role=Role.DESK))
    assert client.post(place).status_code == 403


def test_enter_in_a_field_finishes_and_adds_nothing(client, case, belt):
    """A browser presses the first button of a form on Enter."""
    text = client.get(address(case)).text
    assert text.index("Finish what is ticked") < text.index("Add another service")
