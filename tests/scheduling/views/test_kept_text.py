"""A finished job keeps the text that it was done by, however the procedure is said later."""

import re
from html import unescape

import pytest
from django.urls import reverse

from fleet.models import DoneText, ServiceRecord, StepPicture
from tests import factories
from tests.factories import NOON, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, filled

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def carried(client, case):
    """What the sheet carries of its text."""
    name = f"text_{key_of('Q-1', 'oil')}"
    text = client.get(address(case)).content.decode()
    return {name: unescape(re.search(f'name="{name}" value="([^"]+)"', text)[1])}


def test_the_entry_shows_the_steps_of_the_sheet_after_the_procedure_has_changed(client, case):
    sent = filled() | carried(client, case)
    case.service.steps.update(text="Drain it cold")  # said otherwise before the phone was back
    client.post(address(case), sent)
    record = ServiceRecord.objects.get()
    page = client.get(reverse("record", args=[record.pk])).content.decode()
    assert "Drain warm" in page
    assert "Drain it cold" not in page


def test_two_jobs_by_one_text_share_it_and_a_press_twice_keeps_it_once(client, case):
    sent = filled() | carried(client, case)
    for _ in range(2):
        client.post(address(case), sent)
    assert DoneText.objects.count() == 1
    assert ServiceRecord.objects.get().done_text == DoneText.objects.get()


def test_a_text_that_somebody_changed_on_the_way_is_not_kept(client, case):
    ((name, word),) = carried(client, case).items()
    client.post(address(case), filled() | {name: word[:-2] + "xx"})
    assert ServiceRecord.objects.get().done_text is None


def test_the_entry_keeps_the_picture_that_it_was_done_by(client, case):
    def own(name):
        return StepPicture.objects.create(
            name=name, wide=4, high=3, digest="a", shows=f"The {name} mark",
            by=factories.Person(), at=NOON,
        )  # fmt: skip

    first, later = own("lower"), own("upper")
    case.service.steps.update(picture=first)
    sent = filled() | carried(client, case)
    sheet = client.get(address(case)).content.decode()
    assert f'src="{reverse("step-picture", args=[first.pk])}" alt="The lower mark"' in sheet
    case.service.steps.update(picture=later, drawing="toe")
    client.post(address(case), sent)
    record = ServiceRecord.objects.get()
    page = client.get(reverse("record", args=[record.pk])).content.decode()
    assert f'src="{reverse("step-picture", args=[first.pk])}" alt="The lower mark"' in page
    assert "upper" not in page
