"""A shop's own procedure: read on a make-up, changed with a look at it first."""

import pytest
from django.urls import reverse

from fleet.models import Role, ServiceStep
from tests import factories as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    client.force_login(make.Person())
    service = make.Service(name="Oil")
    for litres in (2.0, 2.3):
        makeup = make.MakeUp(model=f"Hare {litres:g}")
        makeup.fluids.create(place="engine oil", grade="5W-40", capacity_ml=litres * 946.352946)
        make.Interval(service=service, makeup=makeup)
    step = ServiceStep.objects.create(
        service=service, position=1, kind="fill", place="engine oil", text="Fill {quantity}"
    )
    return service, step


def data(**more):
    return {"position": "1", "kind": "fill", "text": "Pour {quantity} of {grade}",
            "place": "engine oil", "share": "1", **more}  # fmt: skip


def test_it_reads_by_the_make_up_that_is_chosen(client, case):
    service, _ = case
    page = reverse("procedure", args=[service.pk])
    second = service.intervals.last().makeup
    assert "Fill 2.00 qt" in client.get(page).content.decode()
    assert "Fill 2.30 qt" in client.get(page, {"makeup": second.pk}).content.decode()


def test_a_preview_shows_each_make_up_and_keeps_nothing(client, case):
    service, step = case
    page = reverse("procedure-step", args=[service.pk, step.pk])
    words = client.post(page, data(act="preview")).content.decode()
    assert "nothing is kept yet" in words
    assert "Pour 2.00 qt of 5W-40" in words
    assert "Pour 2.30 qt of 5W-40" in words
    step.refresh_from_db()
    assert step.text == "Fill {quantity}"


def test_what_is_kept_is_kept(client, case):
    service, step = case
    page = reverse("procedure-step", args=[service.pk, step.pk])
    client.post(page, data(only_on=["oil-cooler:yes", "final-drive:chain"]))
    step.refresh_from_db()
    assert step.only_on == "final-drive:chain oil-cooler:yes"  # as set-up asks
    assert step.text.startswith("Pour")


def test_a_step_is_added_and_taken_out(client, case):
    service, step = case
    client.post(reverse("procedure-step-new", args=[service.pk]), data(position="", text="Look"))
    assert [row.text for row in service.steps.order_by("position")] == ["Fill {quantity}", "Look"]
    client.post(reverse("procedure-step", args=[service.pk, step.pk]), {"act": "out"})
    assert [row.text for row in service.steps.all()] == ["Look"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [({"place": ""}, "Say what is filled"), ({"kind": "measure"}, "Say what is measured"),
     ({"text": ""}, "required"), ({"only_on": ["wings:yes"]}, "not one of the")],
)  # fmt: skip
def test_a_step_that_lacks_something_is_refused(client, case, typed, says):
    service, step = case
    words = client.post(reverse("procedure-step", args=[service.pk, step.pk]), data(**typed))
    assert says in words.content.decode()
    step.refresh_from_db()
    assert step.text == "Fill {quantity}"


def test_a_mechanic_reads_and_does_not_change(client, case):
    service, step = case
    client.force_login(make.Person(role=Role.MECHANIC))
    page = client.get(reverse("procedure", args=[service.pk]))
    assert "Change" not in page.content.decode()
    assert client.get(reverse("procedure-step", args=[service.pk, step.pk])).status_code == 403


def test_a_step_of_another_service_is_not_found(client, case):
    other = make.Service()
    assert client.get(reverse("procedure-step", args=[other.pk, case[1].pk])).status_code == 404
