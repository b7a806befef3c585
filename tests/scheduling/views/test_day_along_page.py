"""What a phone takes along of a mechanic's day."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling.models import PlannedJob, PlannedWork
from tests import factories
from tests.factories import NOON, TODAY, key_of
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


def test_findings_with_photos_go_along_and_the_sheet_shows_them(client, case):
    found = factories.Finding(machine=case.machine, text="Boot torn")
    bare = factories.Finding(machine=case.machine, text="Rust")
    photo = found.photos.create(
        name="a.jpg", wide=40, high=30, digest="a", by=case.mechanic, at=NOON
    )
    struck = found.photos.create(
        name="b.jpg",
        wide=40,
        high=30,
        digest="b",
        by=case.mechanic,
        at=NOON,
        struck_at=NOON,
    )
    said = client.get(ADDRESS).json()["pages"]
    assert reverse("finding", args=[found.pk]) in said
    assert reverse("finding", args=[bare.pk]) not in said
    sheet = client.get(f"{reverse('job', args=['Q-1'])}?day={TODAY}").text
    assert f'src="{reverse("finding-photo", args=[found.pk, photo.pk])}"' in sheet
    assert reverse("finding-photo", args=[found.pk, struck.pk]) not in sheet


def test_a_ranch_hand_takes_the_meter_round_along_and_no_list(client, case):
    hand = factories.Person(role="hand", shop=case.mechanic.shop, home_yard=case.machine.yard)
    client.force_login(hand)
    page = client.get(reverse("meter-round")).text
    assert f'data-along="{reverse("day-along")}"' in page
    said = client.get(reverse("day-along")).json()
    assert said["person"] == str(hand.pk)
    assert "/meter-round/" in said["pages"]
    assert all(address.startswith("/meter-round/") for address in said["pages"])
    assert said["labels"] == [reverse("scan", args=[case.machine.pk])]
    for address in said["pages"] + said["labels"]:
        assert client.get(address).status_code == 200, address


def test_labels_of_a_hands_own_yard_come_first_and_all_of_its_pages(client, case, monkeypatch):
    monkeypatch.setattr("scheduling.queries.day_along.A_PAGE", 1)
    far = factories.Yard(shop=case.mechanic.shop, name="Zz far pasture")
    away = [factories.Machine(tag=tag, yard=far) for tag in ("Z-2", "Z-1")]
    gone = factories.Machine(tag="Z-0", yard=far, retired_on=TODAY)
    for machine in (*away, gone):
        factories.Meter(machine=machine)
    hand = factories.Person(role="hand", shop=case.mechanic.shop, home_yard=far)
    client.force_login(hand)
    said = client.get(reverse("day-along")).json()
    near = [away[1], away[0], case.machine]
    assert said["labels"] == [reverse("scan", args=[machine.pk]) for machine in near]
    assert f"/meter-round/?yard={far.pk}&page=2" in said["pages"]
    monkeypatch.setattr("scheduling.queries.day_along.MOST_LABELS", 2)
    assert len(client.get(reverse("day-along")).json()["labels"]) == 2


def test_a_mechanic_takes_the_labels_of_the_list_along_and_no_others(client, case):
    other = factories.Machine(tag="Q-9", yard=case.machine.yard)
    said = client.get(ADDRESS).json()
    assert said["labels"] == []
    assert reverse("scan", args=[case.machine.pk]) in said["pages"]
    assert reverse("scan", args=[other.pk]) not in said["pages"]


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
