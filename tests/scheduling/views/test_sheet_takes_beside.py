"""What leaves the shelf with work that is not planned, and any other part that was used."""

import pytest

from fleet.models import ServiceRecord, StockMovement
from fleet.work_keys import repair_key
from scheduling.models import PlannedWork
from tests import consequences, factories
from tests.factories import key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, filled

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    """The oil change is nearly due, and not planned."""
    case = bench_case()
    PlannedWork.objects.all().delete()
    client.force_login(case.mechanic)
    return case


def shown(client, case):
    """Return what stands at the offered work, as the page would send it."""
    (row,) = client.get(address(case)).context["form"].offered_rows()
    return {field.html_name: field.value() for field in row.taken}


def used():
    rows = StockMovement.objects.filter(record__isnull=False)
    return {row.part.number: round(-row.quantity) for row in rows}


def test_offered_work_takes_its_parts_with_no_press_more(client, case):
    typed = shown(client, case)
    assert sorted(typed.values()) == ["1", "2.113"]  # a filter; 2000 mL in US quarts
    client.post(address(case), filled(**typed))
    assert used() == {"OIL": 2000, "OF-1": 1}


def test_what_is_not_ticked_takes_nothing_and_what_was_changed_is_asked_about(client, case):
    typed = shown(client, case)
    assert client.post(address(case), filled(done=[], **typed)).status_code == 302
    assert used() == {}
    changed = dict.fromkeys(typed, "3")
    page = client.post(address(case), filled(done=[], form_key="b" * 32, **changed))
    assert "Tick the work that this was taken for" in page.text


def test_more_than_it_takes_is_asked_about(client, case):
    typed = {name: "9" if value != "1" else value for name, value in shown(client, case).items()}
    assert "Is it really so?" in client.post(address(case), filled(**typed)).text


@pytest.mark.parametrize(("kind", "much"), [("part", 2), ("fluid", 1893)])
def test_any_other_part_is_taken_with_a_repair(client, case, kind, much):
    hose = factories.Part(number="H-9", name="hose", kind=kind)
    finding = factories.Finding(machine=case.machine, text="hose chafed")
    done = [repair_key(finding.pk)]
    more = {"more_part": hose.pk, "more_quantity": "2"}
    client.post(address(case), filled(done=done, **more))
    assert ServiceRecord.objects.get().service is None
    assert used() == {"H-9": much}


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"more_quantity": ""}, "Say how much of it was used."),
        ({"more_part": ""}, "Choose the part that this much was used of."),
        ({"done": []}, "Tick the work that this was taken for"),
    ],
)
def test_half_of_another_part_is_asked_about(client, case, typed, sentence):
    hose = factories.Part(number="H-9", name="hose")
    done = [key_of("Q-1", "oil")]
    more = {"done": done, "more_part": hose.pk, "more_quantity": "2"} | typed
    assert sentence in client.post(address(case), filled(**more)).text
    assert not ServiceRecord.objects.exists()


def test_planned_work_that_is_not_ticked_leaves_its_parts_on_the_shelf(client):
    case = bench_case()
    client.force_login(case.mechanic)
    belt = factories.Service(code="belt", name="Drive belt")
    consequences.DuePoint(machine=case.machine, service=belt, state="due")
    rows = client.get(address(case)).context["form"].part_rows()
    typed = {field.html_name: field.value() for field in rows}
    client.post(address(case), filled(done=[key_of("Q-1", "belt")], **typed))
    assert ServiceRecord.objects.get().service == belt
    assert used() == {}
