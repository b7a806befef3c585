"""The bench page and its paper: own list for a mechanic, every list for the manager."""

import pytest
from django.urls import reverse

from fleet.models import Role
from tests import factories
from tests.factories import TODAY
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
PAGES = ["bench", "bench-paper"]


@pytest.mark.parametrize("page", PAGES)
def test_the_mechanic_sees_the_days_jobs_with_cautions_and_the_manual_first(client, page):
    case = bench_case()
    client.force_login(case.mechanic)
    text = client.get(reverse(page), {"day": TODAY.isoformat()}).content.decode()
    for words in (
        "Q-1",
        "Engine oil and filter",
        "Hot oil burns.",
        "19 mm socket",
        "own manual, local codes and licensed practice",
    ):
        assert words in text


def test_an_empty_day_leads_to_the_next_with_jobs(client):
    case = bench_case()
    client.force_login(case.mechanic)
    text = client.get(reverse("bench"), {"day": "2026-02-28"}).content.decode()
    assert "Nothing is planned for" in text
    assert f"?day={TODAY}&amp;mechanic={case.mechanic.username}" in text
    after = client.get(reverse("bench"), {"day": "2026-03-03"}).content.decode()
    assert "The next jobs" not in after


def test_paper_names_the_limits_of_this_make_up_alone(client):
    case = bench_case()
    case.service.limits.create(name="Torque", unit="N m", low=40, makeup=factories.MakeUp())
    client.force_login(case.mechanic)
    text = client.get(reverse("bench-paper"), {"day": TODAY.isoformat()}).content.decode()
    assert "Oil pressure, at least 200 kPa" in text
    assert "Torque" not in text


@pytest.mark.parametrize("page", PAGES)
def test_the_desk_has_no_bench(client, page):
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(reverse(page)).status_code == 403


@pytest.mark.parametrize("page", PAGES)
def test_signed_out_means_sign_in_first(client, page):
    assert client.get(reverse(page)).url.startswith(reverse("sign-in"))


def test_a_mechanic_cannot_open_anothers_list(client):
    case = bench_case()
    other = factories.Mechanic(shop=case.mechanic.shop)
    client.force_login(other)
    address = {"day": TODAY.isoformat(), "mechanic": case.mechanic.username}
    assert "Q-1" not in client.get(reverse("bench"), address).content.decode()


def test_the_manager_chooses_a_mechanic(client):
    case = bench_case()
    client.force_login(case.manager)
    address = {"day": TODAY.isoformat(), "mechanic": case.mechanic.username}
    assert "Q-1" in client.get(reverse("bench"), address).content.decode()


def test_a_day_that_is_none_gets_a_sentence(client):
    client.force_login(bench_case().mechanic)
    text = client.get(reverse("bench"), {"day": "soon"}).content.decode()
    assert "“soon” is no day" in text


def test_a_shop_without_a_mechanic_says_so(client):
    client.force_login(factories.Person())
    assert "No mechanic is set up yet" in client.get(reverse("bench")).content.decode()
