"""What a phone takes along of a mechanic's day."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling.models import PlannedJob, PlannedWork
from tests import factories
from tests.factories import TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
ADDRESS = f"{reverse('day-along')}?day={TODAY}"


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    return case


def plan_another(case, tag):
    machine = factories.Machine(tag=tag, yard=case.machine.yard)
    job = PlannedJob.objects.create(
        plan=case.job.plan, machine=machine, day=TODAY, mechanic=case.mechanic, minutes=30
    )
    PlannedWork.objects.create(
        plan=case.job.plan, job=job, machine=machine, work_key=key_of(tag, "oil"),
        service=case.service, minutes=30,
    )  # fmt: skip


def test_list_sheets_procedures_and_round_are_named(client, case):
    said = client.get(ADDRESS).json()
    assert said["person"] == str(case.mechanic.pk)
    sheet = f"{reverse('job', args=['Q-1'])}?day={TODAY}"
    procedure = reverse("procedure", args=[case.service.pk])
    for address in (reverse("bench"), f"/bench/?day={TODAY}", sheet, procedure, "/meter-round/"):
        assert address in said["pages"], address
    for address in said["pages"]:
        assert client.get(address).status_code == 200, address


def test_a_longer_day_asks_no_more_queries(client, case):
    def asked():
        with CaptureQueriesContext(connection) as seen:
            client.get(ADDRESS)
        return len(seen)

    client.get(ADDRESS)
    few = asked()
    for number in range(4):
        plan_another(case, f"Q-{number + 2}")
    assert asked() == few
    assert f"{reverse('job', args=['Q-5'])}?day={TODAY}" in client.get(ADDRESS).json()["pages"]
