"""A finished sheet that is undone stands open again, as it was sent."""

import pytest
from django.urls import reverse

from fleet.models import Act, Measurement, ServiceRecord, SheetEntry
from tests.factories import NOON, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, check_step, filled

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client, monkeypatch):
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOON)
    case = bench_case()
    check_step(case)
    client.force_login(case.mechanic)
    return case


def undo(client):
    for act in Act.objects.filter(undone_at=None).order_by("-pk"):
        client.post(reverse("undo", args=[act.pk]))


def test_what_was_undone_stands_on_the_sheet_and_is_finished_anew(client, case):
    limit, step = f"limit_{case.service.limits.get().pk}", f"step_{case.service.pk}_hoses"
    typed = {limit: "250", step: "good", "note": "plug was loose", "minutes": "55"}
    client.post(address(case), filled(**typed))
    assert not SheetEntry.objects.filter(spent_at=None).exists()
    undo(client)
    page = client.get(address(case))
    for words in (
        f'name="{limit}" value="250"', f'name="{step}" value="good" checked', "plug was loose",
        'name="minutes" value="55"', 'name="reading_hours" value="125.5"',
        f'value="{key_of("Q-1", "oil")}" checked',
    ):  # fmt: skip
        assert words in page.text, words
    key = page.context["form"]["form_key"].value()
    assert key != "a" * 32
    client.post(address(case), filled(form_key=key, **typed | {limit: "260"}))
    standing = ServiceRecord.objects.filter(void=False, corrected_by=None).get()
    assert standing.measurements.get().value == 260
    assert Measurement.objects.count() == 2  # the one that was undone stays on record
    assert not SheetEntry.objects.filter(spent_at=None).exists()


def test_a_sheet_that_was_undone_twice_keeps_what_was_sent_last(client, case):
    for key, note in (("a" * 32, "one"), ("b" * 32, "two")):
        client.post(address(case), filled(form_key=key, note=note))
        undo(client)
    assert ">two</textarea>" in client.get(address(case)).text.replace("\n", "")
