"""A sheet on which something is answered, measured or chosen, and the work itself is not ticked."""

import pytest
from django.urls import reverse

from fleet.models import Finding, Hold, Measurement, Reading, ServiceRecord, SheetEntry
from tests import consequences, factories
from tests.factories import TODAY, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, check_step, filled

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    case = bench_case()
    check_step(case)
    client.force_login(case.mechanic)
    return case


def step(case, key="hoses"):
    return f"step_{case.service.pk}_{key}"


def limit(case):
    return f"limit_{case.service.limits.get().pk}"


@pytest.mark.parametrize("answer", ["good", "attention", "stop"])
def test_an_answer_without_a_tick_is_asked_about_and_not_dropped(client, case, answer):
    page = client.post(address(case), filled(done=[], **{step(case): answer}))
    assert "“Engine oil and filter” is not ticked, and something is answered under it" in page.text
    assert f'value="{answer}" checked' in page.text
    assert not Reading.objects.filter(value=125.5).exists()


def test_it_is_asked_too_where_another_service_is_ticked(client, case):
    other = factories.Service(code="belt", name="Drive belt")
    consequences.DuePoint(machine=case.machine, service=other, state="due")
    typed = filled(done=[key_of("Q-1", "belt")], **{step(case): "good"})
    assert "“Engine oil and filter” is not ticked" in client.post(address(case), typed).text
    assert not ServiceRecord.objects.exists()


def test_a_tick_of_a_step_is_asked_about_like_an_answer(client, case):
    drain = case.service.steps.get(position=1)
    page = client.post(address(case), filled(done=[], **{step(case, drain.key): "on"}))
    assert "is not ticked" in page.text


@pytest.mark.parametrize(("answer", "gravity"), [("attention", "defect"), ("stop", "unsafe")])
def test_what_stops_the_machine_counts_at_once_whatever_is_ticked(client, case, answer, gravity):
    for _ in range(2):
        page = client.post(address(case), filled(done=[], **{step(case): answer}))
    assert Finding.objects.get().gravity == gravity
    assert Hold.objects.count() == (answer == "stop")
    assert ("HELD" in page.text) is (answer == "stop")
    client.post(address(case), filled(**{step(case): answer}))
    assert ServiceRecord.objects.count() == Finding.objects.count() == 1
    assert Hold.objects.count() == (answer == "stop")


def test_a_sheet_refused_for_its_meter_holds_what_stops_the_machine(client, case):
    client.post(address(case), filled(reading_hours="", **{step(case): "stop"}))
    assert not ServiceRecord.objects.exists()
    assert Hold.objects.get().reason == "Hoses not chafed: not safe"


def test_what_is_said_to_stay_stays_on_the_sheet_and_counts_once(client, case):
    typed = {step(case): "stop", limit(case): "250", "stays": [key_of("Q-1", "oil")]}
    for _ in range(2):
        assert client.post(address(case), filled(done=[], **typed)).status_code == 302
    assert not ServiceRecord.objects.exists()
    assert Reading.objects.filter(value=125.5).count() == 1
    text = client.get(address(case)).text
    assert f'name="{limit(case)}" value="250"' in text
    assert f'name="{step(case)}" value="stop" checked' in text
    sheet = SheetEntry.objects.filter(spent_at=None).values_list("sheet", flat=True)[0]
    client.post(address(case), filled(form_key=sheet, **{step(case): "stop", limit(case): "250"}))
    assert ServiceRecord.objects.count() == 1
    assert Finding.objects.count() == Hold.objects.count() == Measurement.objects.count() == 1


def test_a_value_that_is_not_safe_holds_while_its_tick_is_asked_for(client, case):
    case.service.limits.update(name="lining", unit="mm", low=1.5, safety=True)
    for _ in range(2):
        page = client.post(address(case), filled(done=[], **{limit(case): "0.4"}))
    assert "is not ticked: tick it" in page.text
    assert Hold.objects.get().reason == "lining: 0.4 mm, below the limit of 1.5 mm"
    client.post(address(case), filled(**{limit(case): "0.4"}))
    assert Measurement.objects.get().value == 0.4
    assert Hold.objects.count() == Finding.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"minutes": "50"}, "Tick the work that took these minutes"),
        ({"repair_minutes": "90"}, "Say what these minutes are to put right"),
    ],
)
def test_minutes_that_belong_to_nothing_are_asked_about(client, case, typed, sentence):
    assert sentence in client.post(address(case), filled(done=[], **typed)).text
    assert not Reading.objects.filter(value=125.5).exists()


def test_a_changed_quantity_without_a_tick_is_asked_about_and_an_unchanged_one_is_not(client, case):
    rows = client.get(address(case)).context["form"].part_rows()
    oil = next(field for field in rows if "qt" in field.label)
    as_shown = {field.html_name: field.value() for field in rows}
    page = client.post(address(case), filled(done=[], **as_shown | {oil.html_name: "1.5"}))
    assert "Tick the work that this was taken for" in page.text
    assert client.post(address(case), filled(done=[], **as_shown)).status_code == 302


@pytest.mark.parametrize("url", ["job", "leave-work", "put-off"])
@pytest.mark.parametrize(
    ("gravity", "sentence"),
    [("unsafe", "Say in a few words what is not safe"), ("defect", "what the defect is")],
)
def test_how_bad_without_what_is_refused_at_every_end(client, case, url, gravity, sentence):
    place = f"{reverse(url, args=['Q-1'])}?day={TODAY}"
    of_end = {"leave-work": {"worked": "10", "left": "20"}, "put-off": {"reason": "no filter"}}
    more = of_end.get(url, {}) | {"gravity": gravity}
    page = client.post(place, filled(done=[key_of("Q-1", "oil")], **more))
    assert sentence in page.text
    assert not Reading.objects.filter(value=125.5).exists()
    client.post(place, filled(done=[key_of("Q-1", "oil")], **more, finding="fork cracked"))
    assert Finding.objects.get().gravity == gravity
    assert Hold.objects.count() == (gravity == "unsafe")
