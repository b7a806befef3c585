"""A shop's own procedure: read on a make-up, changed with a look at it first."""

from io import BytesIO
from itertools import pairwise

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from fleet.models import LoggedChange, Role, ServiceStep, StepPicture
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


# -- the shop's own picture


@pytest.fixture
def pictured(client, case, settings, tmp_path):
    settings.PHOTOS = str(tmp_path)
    return case


def photo(color="red", name="seen.png"):
    file = BytesIO()
    Image.new("RGB", (8, 6), color).save(file, "PNG")
    return SimpleUploadedFile(name, file.getvalue())


def send(client, pictured, **more):
    service, step = pictured
    page = reverse("procedure-step", args=[service.pk, step.pk])
    return client.post(page, data(form_key="a" * 32, **more)).content.decode()


def shown(client, pictured):
    return client.get(reverse("procedure", args=[pictured[0].pk])).content.decode()


def test_a_picture_is_looked_at_first_and_need_not_be_chosen_twice(client, pictured):
    words = send(client, pictured, photo=photo(), shows="The lower mark", act="preview")
    assert 'src="data:image/jpeg;base64,' in words
    assert not StepPicture.objects.exists()
    assert "step-picture" not in shown(client, pictured)
    send(client, pictured, shows="The lower mark")
    (kept,) = StepPicture.objects.all()
    words = shown(client, pictured)
    assert f'src="{reverse("step-picture", args=[kept.pk])}"' in words
    assert 'alt="The lower mark"' in words
    answer = client.get(reverse("step-picture", args=[kept.pk]))
    assert answer["Content-Type"] == "image/jpeg"
    assert Image.open(BytesIO(answer.content)).size == (8, 6)


def test_it_is_changed_and_taken_away_with_who_and_when(client, pictured):
    send(client, pictured, photo=photo(), shows="The lower mark")
    send(client, pictured, photo=photo("blue"), shows="The upper mark", no_photo="on")
    send(client, pictured, shows="The upper mark, cold")
    first, second, third = StepPicture.objects.order_by("pk")
    assert (second.name, second.digest) == (third.name, third.digest)  # other words, one file
    assert first.name != second.name
    assert ServiceStep.objects.get().picture == third
    send(client, pictured, shows="The upper mark, cold")  # nothing new
    send(client, pictured, shows="", no_photo="on")
    assert ServiceStep.objects.get().picture is None
    assert "step-picture" not in shown(client, pictured)
    assert client.get(reverse("step-picture", args=[first.pk])).status_code == 200
    told = [
        (one["old"], one["new"])
        for change in LoggedChange.objects.order_by("pk")
        for one in change.values
        if one["field"] == "picture"
    ]
    names = ["", str(first), str(second), str(third), ""]
    assert told == list(pairwise(names))
    assert all(change.by for change in LoggedChange.objects.all())


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"photo": photo(), "shows": ""}, "Say what your picture shows."),
        ({"photo": SimpleUploadedFile("a.svg", b"<svg xmlns='x'><script/></svg>"), "shows": "A"},
         "That is no photo"),
        ({"drawing": "no-such", "shows": ""}, "not one of the"),
    ],
)  # fmt: skip
def test_what_is_no_picture_or_unsaid_is_refused(client, pictured, sent, says):
    assert says in send(client, pictured, **sent)
    assert not StepPicture.objects.exists()


def test_a_drawing_of_the_library_is_chosen(client, pictured):
    send(client, pictured, drawing="toe")
    words = shown(client, pictured)
    assert "/static/img/steps/toe.svg" in words
    assert "both at the height of the hub" in words


def test_a_ranch_hand_is_not_shown_it(client, pictured):
    send(client, pictured, photo=photo(), shows="The lower mark")
    address = reverse("step-picture", args=[StepPicture.objects.get().pk])
    client.force_login(make.Person(role=Role.HAND))
    assert client.get(address).status_code == 403
