"""What is changed on a sheet stands in the change log, rows of inlines too."""

import pytest
from django.urls import reverse

from fleet.models import LoggedChange, Part, ServiceStep, Skill
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    person = factories.Person(role="owner")
    client.force_login(person)
    return person


def no_rows(*names):
    return {f"{name}-{end}": "0" for name in names for end in ("TOTAL_FORMS", "INITIAL_FORMS")}


def values(change):
    return {(value["field"], value["old"], value["new"]) for value in change.values}


def service_form(service, **more):
    rows = no_rows("steps", "needs", "limits", "intervals")
    own = {"code": service.code, "name": service.name, "minutes": "60", "second_minutes": "0",
           "overdue_cost_per_day": "10", "value": "100", "blocks_rental": "on"}  # fmt: skip
    return rows | own | more


def test_old_and_new_are_kept_by_field_with_lists_and_rows(client, manager):
    service = factories.Service(name="Oil", minutes=60)
    step = ServiceStep.objects.create(service=service, position=1, text="Drain")
    other = factories.Service(name="Grease")
    service.follows.add(other)
    form = service_form(
        service, name="Oil change",
        **{"steps-TOTAL_FORMS": "2", "steps-INITIAL_FORMS": "1", "steps-0-id": step.pk,
           "steps-0-service": service.pk, "steps-0-position": "1", "steps-0-text": "Drain warm",
           "steps-0-kind": "do", "steps-0-share": "1",
           "steps-1-service": service.pk, "steps-1-position": "2", "steps-1-text": "Fill",
           "steps-1-kind": "do", "steps-1-share": "1"},
    )  # fmt: skip
    address = reverse("sheets:fleet_service_change", args=[service.pk])
    assert client.post(address, form).status_code == 302
    change = LoggedChange.objects.get()
    assert (change.kind, change.act, change.by) == ("service", "changed", manager)
    assert values(change) == {
        ("name", "Oil", "Oil change"),
        ("follows", "Grease", ""),
        ("service step 1", "do, Drain, 1, no", "do, Drain warm, 1, no"),
        ("service step 2", "", "do, Fill, 1, no"),
    }


def test_what_was_saved_unchanged_is_not_logged(client, manager):
    service = factories.Service()
    address = reverse("sheets:fleet_service_change", args=[service.pk])
    assert client.post(address, service_form(service)).status_code == 302
    assert not LoggedChange.objects.exists()


def test_what_is_added_and_what_is_deleted_is_logged(client, manager):
    client.post(reverse("sheets:fleet_skill_add"), {"name": "brakes"})
    skill = Skill.objects.get(name="brakes")
    client.post(reverse("sheets:fleet_skill_delete", args=[skill.pk]), {"post": "yes"})
    gone, added = LoggedChange.objects.all()
    assert (added.act, added.subject, gone.act) == ("added", "brakes", "deleted")
    assert ("name", "brakes", "") in values(gone)
    assert gone.subject_id == skill.pk


def test_movements_of_stock_stand_for_themselves(client, manager):
    part = factories.Part(name="oil filter", cost=5)
    address = reverse("sheets:fleet_part_change", args=[part.pk])
    page = client.get(address)
    form = page.context["adminform"].form
    typed = {name: form[name].value() or "" for name in form.fields} | {"name": "filter"}
    rows = [each.formset.prefix for each in page.context["inline_admin_formsets"]]
    assert client.post(address, typed | no_rows(*rows)).status_code == 302
    assert values(LoggedChange.objects.get()) == {("name", "oil filter", "filter")}
    assert Part.objects.get().name == "filter"


def test_a_password_is_told_of_and_never_told(client, manager):
    person = factories.Person(username="jo")
    address = reverse("sheets:auth_user_password_change", args=[person.pk])
    new = {"usable_password": "true", "password1": "long grass 91", "password2": "long grass 91"}
    assert client.post(address, new).status_code == 302
    change = LoggedChange.objects.get()
    assert (change.kind, change.subject_id) == ("person", person.pk)
    assert values(change) == {("password", "", "set")}
