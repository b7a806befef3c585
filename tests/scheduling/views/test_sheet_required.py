"""Steps that work is not finished without: answered, or one line says why not."""

import pytest
from django.urls import reverse

from fleet.models import ServiceRecord, Skill
from tests.factories import TODAY, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, check_step, filled

pytestmark = pytest.mark.django_db
WHY = "gauge is away"


@pytest.fixture
def case(client):
    """The oil change asks for a check and for its measure."""
    case = bench_case()
    check_step(case, required=True)
    case.service.steps.create(
        position=3, key="pressure", kind="measure", text="Oil pressure: warm, at idle.",
        measures="Oil pressure", required=True,
    )  # fmt: skip
    client.force_login(case.mechanic)
    return case


def answers(case):
    limit, service = case.service.limits.get().pk, case.service.pk
    return {f"limit_{limit}": "250", f"step_{service}_hoses": "good"}


def why():
    return {f"why_{key_of('Q-1', 'oil')}": WHY}


def test_ticked_work_is_not_finished_with_required_steps_blank(client, case):
    page = client.post(address(case), filled())
    assert "2 steps that it must not be finished without are not answered" in page.text
    for words in ("Hoses not chafed", "Oil pressure: warm", "Why not, in one line"):
        assert words in page.text
    assert not ServiceRecord.objects.exists()


@pytest.mark.parametrize("left", [0, 1])
def test_one_that_is_left_is_asked_about_alone(client, case, left):
    name = list(answers(case))[left]
    page = client.post(address(case), filled(**answers(case) | {name: ""}))
    assert "a step that it must not be finished without is not answered" in page.text


def test_answered_it_is_finished_with_no_press_more(client, case):
    assert client.post(address(case), filled(**answers(case))).status_code == 302
    assert ServiceRecord.objects.get().note == ""


def test_one_line_says_why_and_is_kept_with_the_work(client, case):
    for _ in range(2):
        answer = client.post(address(case), filled(note="new filter", **why()))
        assert answer.status_code == 302
    assert ServiceRecord.objects.get().note == (
        "new filter Not answered: Hoses not chafed; Oil pressure. Why: gauge is away."
    )


def test_a_line_about_nothing_goes_nowhere(client, case):
    client.post(address(case), filled(**answers(case), **why()))
    assert ServiceRecord.objects.get().note == ""


def test_an_inspection_takes_no_such_line(client, case):
    case.service.skill = Skill.objects.create(name="inspector", by_certificate=True)
    case.service.save()
    page = client.post(address(case), filled(**why()))
    assert "An inspection is finished with all its measures" in page.text
    assert "answer “Hoses not chafed”" in page.text


def test_work_that_is_left_or_asks_for_nothing_is_not_asked(client, case):
    place = f"{reverse('leave-work', args=['Q-1'])}?day={TODAY}"
    assert client.post(place, filled(worked="10", left="20")).status_code == 302
    case.service.steps.update(required=False)
    assert client.post(address(case), filled(form_key="b" * 32)).status_code == 302
