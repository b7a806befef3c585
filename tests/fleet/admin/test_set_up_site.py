"""The set-up sheets: who may open them, and that a changed rule tells its machines."""

import pytest
from django.urls import NoReverseMatch, reverse

from fleet.admin.set_up_site import site
from fleet.models import Interval, Person, Reading, Role
from tests import factories

pytestmark = pytest.mark.django_db


def sign_in(client, role: Role) -> Person:
    person = factories.Person(role=role)
    client.force_login(person)
    return person


@pytest.mark.parametrize("model", site._registry)
def test_a_manager_opens_every_sheet(client, model):
    sign_in(client, Role.OWNER)
    name = f"sheets:{model._meta.app_label}_{model._meta.model_name}"
    assert client.get(reverse(f"{name}_changelist")).status_code == 200


@pytest.mark.parametrize("role", [Role.DESK, Role.MECHANIC])
def test_nobody_else_opens_the_sheets(client, role):
    sign_in(client, role)
    assert client.get(reverse("sheets:index")).status_code == 403


@pytest.mark.parametrize("asked", ["done_at__year", "id"])
def test_a_number_that_no_row_can_have_is_refused(client, asked):
    sign_in(client, Role.OWNER)
    page = client.get(reverse("sheets:fleet_servicerecord_changelist"), {asked: "9" * 59})
    assert page.status_code < 500


def test_who_is_not_signed_in_signs_in_on_the_sites_own_page_and_comes_back(client):
    manager = factories.Person(username="ada")
    manager.set_password("long grass 9")
    manager.save()
    sheet = reverse("sheets:fleet_shop_changelist")
    page = client.get(sheet, follow=True)
    assert page.redirect_chain[-1][0].startswith(reverse("sign-in"))
    answers = {"username": "ada", "password": "long grass 9", "next": sheet}
    assert client.post(reverse("sign-in"), answers, follow=True).request["PATH_INFO"] == sheet


@pytest.mark.parametrize("name", ["login", "logout", "password_change", "password_change_done"])
def test_the_sheets_have_no_way_in_or_out_of_their_own(name):
    with pytest.raises(NoReverseMatch):
        reverse(f"sheets:{name}")


def test_a_changed_interval_tells_every_machine_of_its_make_up(client, told):
    sign_in(client, Role.OWNER)
    interval = factories.Interval()
    mine = factories.Machine(makeup=interval.makeup)
    factories.Machine()
    form = {
        "service": interval.service.pk,
        "makeup": interval.makeup.pk,
        "machine": "",
        "meter_kind": "hours",
        "every": "50",
        "anchor": "service",
        "source": "manual p. 4",
    }
    address = reverse("sheets:fleet_interval_change", args=[interval.pk])
    assert client.post(address, form).status_code == 302
    assert Interval.objects.get().every == 50
    assert told == {mine.pk}


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"every": ""}, "Give both the kind of meter and how often on it"),
        ({"every": "-5"}, "How often must be more than zero"),
        ({"season_month": "11"}, "A season needs both its month and its day"),
        ({"meter_kind": "", "every": ""}, "Say when it recurs"),
        (
            {"every_months": "3", "every_days": "90"},
            "Give months or days on the calendar, not both",
        ),
        ({"makeup": ""}, "Choose a make-up or one machine, not both"),
    ],
)
def test_an_interval_that_means_nothing_is_refused_with_a_sentence(client, change, sentence):
    sign_in(client, Role.OWNER)
    interval = factories.Interval()
    form = {
        "service": factories.Service().pk,
        "makeup": interval.makeup.pk,
        "machine": "",
        "meter_kind": "hours",
        "every": "50",
        "anchor": "service",
    } | change
    page = client.post(reverse("sheets:fleet_interval_add"), form)
    assert sentence in page.content.decode()
    assert Interval.objects.count() == 1


def test_a_reading_can_be_looked_at_but_not_rewritten(client):
    sign_in(client, Role.OWNER)
    reading = factories.Reading(value=100)
    address = reverse("sheets:fleet_reading_change", args=[reading.pk])
    assert client.get(address).status_code == 200
    assert client.post(address, {"value": "1"}).status_code == 403
    assert Reading.objects.get().value == 100


def test_a_serial_with_a_wrong_check_digit_is_kept_with_a_warning(client):
    sign_in(client, Role.OWNER)
    kind = factories.MakeUp(machine_class__road_vehicle=True)
    machine = factories.Machine(makeup=kind)
    none = {
        f"{rows}-{field}": "0"
        for rows in ("meters", "alterations", "storages")
        for field in ("TOTAL_FORMS", "INITIAL_FORMS")
    }
    form = none | {
        "tag": machine.tag,
        "serial": "1G4AH59H45G118331",
        "makeup": kind.pk,
        "yard": machine.yard.pk,
        "duty_factor": "1",
    }
    page = client.post(reverse("sheets:fleet_machine_change", args=[machine.pk]), form, follow=True)
    machine.refresh_from_db()
    assert machine.serial == "1G4AH59H45G118331"
    assert "check digit" in page.content.decode()
