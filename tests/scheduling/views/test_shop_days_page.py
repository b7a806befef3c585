"""Shop days: everybody of the shop reads the plan, the manager changes and publishes it."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from fleet.models import Pin, Release, Role
from scheduling.models import Plan, PlanSearch
from tests import factories
from tests.complete_shop import complete
from tests.factories import key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db


@pytest.fixture
def ahead():
    """A day that is never in the past when the page asks."""
    return date.today() + timedelta(days=3)  # noqa: DTZ011  the page reads the clock


@pytest.fixture
def case(ahead):
    return bench_case(ahead)


def searches():
    """Return the shops that a person asked to be planned again."""
    return [each.shop for each in PlanSearch.objects.filter(cause="hand")]


def test_the_plan_is_shown_by_day_and_mechanic_with_reasons(client, case, ahead):
    client.force_login(case.mechanic)
    text = client.get(reverse("shop-days"), {"day": ahead.isoformat()}).content.decode()
    text += client.get(reverse("shop-day-job", args=[case.job.pk])).content.decode()
    for words in ("Q-1", "Jo", "Engine oil and filter", "the first day with room"):
        assert words in text


def test_the_desk_does_not_read_the_plan(client, case):
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(reverse("shop-days")).status_code == 403


def test_a_mechanic_changes_nothing(client, case):
    client.force_login(case.mechanic)
    for name in ("move-work", "free-work", "publish"):
        assert client.post(reverse(name), {"work_key": key_of("Q-1", "oil")}).status_code == 403


def test_the_manager_pins_work_and_is_led_to_how_far_the_new_plan_is(client, case, ahead):
    client.force_login(case.manager)
    move = {
        "work_key": key_of("Q-1", "oil"),
        "day": ahead.isoformat(),
        "mechanic": case.mechanic.username,
    }
    gone = client.post(reverse("move-work") + f"?day={ahead}", move)
    assert Pin.objects.get(lifted_at=None).mechanic == case.mechanic
    search = PlanSearch.objects.get()
    assert gone.url.startswith(reverse("plan-progress", args=[search.pk]))
    assert f"%3Fday%3D{ahead}" in gone.url
    client.post(reverse("free-work"), {"work_key": key_of("Q-1", "oil")})
    assert not Pin.objects.filter(lifted_at=None).exists()
    assert searches() == [case.mechanic.shop] * 2


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"day": "2020-01-01"}, "That day has gone by"),
        ({"day": "soon"}, "Write the day as"),
        ({"work_key": "m:1:987654321"}, "no longer in the plan"),
        ({"mechanic": "nobody"}, "Nobody of that name"),
    ],
)
def test_a_bad_move_gets_a_sentence(client, case, ahead, change, sentence):
    client.force_login(case.manager)
    move = {"work_key": key_of("Q-1", "oil"), "day": ahead.isoformat()} | change
    text = client.post(reverse("move-work"), move, follow=True).content.decode()
    assert sentence in text
    assert not Pin.objects.exists()
    assert searches() == []


def test_publishing_twice_is_once(client, case, ahead):
    client.force_login(case.manager)
    for _ in range(2):
        client.post(reverse("publish"), {"days": "7"})
    release = Release.objects.get()
    assert release.jobs == [
        {
            "work_key": key_of("Q-1", "oil"),
            "day": ahead.isoformat(),
            "mechanic": case.mechanic.username,
        }
    ]


def test_publishing_no_days_gets_a_sentence(client, case):
    client.force_login(case.manager)
    text = client.post(reverse("publish"), {"days": "0"}, follow=True).content.decode()
    assert "Publish at least one day" in text


def test_without_a_plan_the_page_says_what_makes_one(client):
    manager = factories.Person()
    client.force_login(manager)
    lacking = client.get(reverse("shop-days")).content.decode()
    assert "No plan yet: no mechanic has working hours." in lacking
    complete(manager.shop)
    assert "nightly run makes it" in client.get(reverse("shop-days")).content.decode()
    Plan.objects.create(
        shop=manager.shop,
        made_at=factories.NOON,
        first_day=factories.TODAY,
        days=28,
        missing="No mechanic works here yet.",
    )
    assert "No mechanic works here" in client.get(reverse("shop-days")).content.decode()
