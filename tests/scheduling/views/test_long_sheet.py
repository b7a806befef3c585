"""A sheet of many steps: folded by what they are about, with all of its fields in the form."""

import re

import pytest
from django.urls import reverse

from fleet.models import Caution, Qualification, ServiceRecord, SheetEntry, Skill
from fleet.procedures import BY_THE_MANUAL
from fleet.procedures.library import procedure_called
from fleet.saying import first_sentence
from tests.factories import NOON, TODAY, key_of
from tests.scheduling.bench_data import bench_case

pytestmark = pytest.mark.django_db
GROUP = re.compile(r'<details class="fold step-group"( open)?>(.*?)</details>', re.DOTALL)


@pytest.fixture
def case(client):
    """The oil change is a yearly service of a quad, by the library."""
    case = bench_case()
    case.service.steps.all().delete()
    case.service.limits.all().delete()
    for number, step in enumerate(procedure_called("quad-yearly").steps):
        if step.kind in ("check", "do", "fasten") and not step.only_on:
            case.service.steps.create(
                position=number, key=step.key, kind=step.kind, text=step.text[:300],
                required=step.required,
            )  # fmt: skip
    client.force_login(case.mechanic)
    return case


def groups_of(page):
    """Return summary -> (open, what stands in it)."""
    found = {}
    for opened, inside in GROUP.findall(page.text):
        summary, rest = inside.split("</summary>", 1)
        words = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", summary)).strip()
        found[words] = (bool(opened), rest)
    return found


def sheet(client, **typed):
    address = f"{reverse('job', args=['Q-1'])}?day={TODAY}"
    return client.post(address, typed) if typed else client.get(address)


def name_of(case, key):
    return f"step_{case.service.pk}_{key}"


def test_steps_are_folded_with_counts_and_the_first_group_is_open(client, case):
    groups = groups_of(sheet(client))
    assert [opened for opened, _ in groups.values()] == [True, *[False] * (len(groups) - 1)]
    assert "Brakes 0 of 1" in groups
    whole = "".join(inside for _, inside in groups.values())
    for step in case.service.steps.all():
        assert f'name="{name_of(case, step.key)}"' in whole, step.key


def test_what_was_ticked_counts_and_the_first_group_with_something_left_opens(client, case):
    keys = ["serial", "steering"]
    typed = {name_of(case, key): "good" for key in keys}
    leave = f"{reverse('leave-work', args=['Q-1'])}?day={TODAY}"
    client.post(leave, {"done": [key_of("Q-1", "oil")], "worked": "10", "left": "50", **typed})
    groups = groups_of(sheet(client))
    assert groups["Before you begin 1 of 1"][0] is False
    assert groups["Steering and suspension 1 of 5"][0] is False
    assert next(words for words, (opened, _) in groups.items() if opened).startswith("Battery and")


def test_a_required_check_that_was_left_out_opens_its_group_and_is_marked(client, case):
    skill = Skill.objects.create(name="inspector", by_certificate=True)
    case.service.skill = skill
    case.service.save()
    case.service.steps.update(required=False)
    case.service.steps.filter(key="rear-brake").update(required=True)
    Qualification.objects.create(person=case.mechanic, skill=skill)
    page = sheet(client, done=[key_of("Q-1", "oil")], reading_hours="125.5", minutes="50")
    assert not ServiceRecord.objects.exists()
    groups = groups_of(page)
    opened, inside = groups["Brakes 0 of 1"]
    assert opened
    assert "Answer this before you finish." in inside
    assert groups["Before you begin 0 of 1"][0]
    assert sum(one for one, _ in groups.values()) == 2


def test_a_measure_that_was_refused_opens_its_group(client, case):
    limit = case.service.limits.create(name="Lining", unit="mm", low=1.5)
    case.service.steps.create(
        position=200, key="rear-lining", kind="measure", text="Lining", measures="Lining"
    )
    typed = {f"limit_{limit.pk}": "-1", "reading_hours": "125.5", "minutes": "50"}
    page = sheet(client, done=[key_of("Q-1", "oil")], **typed)
    opened, inside = next(one for words, one in groups_of(page).items() if "Brakes" in words
                          and "Lining" in one[1])  # fmt: skip
    assert opened
    assert "errorlist" in inside


def test_a_short_procedure_is_not_folded(client, case):
    keep = list(case.service.steps.values_list("pk", flat=True)[:14])
    case.service.steps.exclude(pk__in=keep).delete()
    assert groups_of(sheet(client)) == {}


def test_a_caution_is_not_called_the_first_step(client, case):
    lock = Caution.objects.create(code="lock", signal="warning", text="Lock it out.", source="x")
    case.service.steps.create(
        position=0, key="lock-out-first", kind="caution", text="Read this first.", caution=lock
    )
    assert "First: Engine oil and filter: Read the serial" in sheet(client).text


def test_a_sheet_that_was_begun_goes_on_with_the_first_step_that_is_left(client, case):
    first, second = case.service.steps.order_by("position")[:2]
    SheetEntry.objects.create(
        machine=case.machine, by=case.mechanic, sheet="a" * 32, key="k", value="good",
        field=f"step_{case.service.pk}_{first.key}", typed_at=NOON, kept_at=NOON,
    )  # fmt: skip
    text = sheet(client).text
    said = second.text.replace("{figure}", BY_THE_MANUAL)
    assert f"Go on with: Engine oil and filter: {first_sentence(said)}" in text
    assert "First: Engine" not in text


def test_the_step_that_is_next_is_one_press_away_from_the_head(client, case):
    text = sheet(client).text
    at, said = re.search(r'<a class="touch" href="#(at-[^"]+)">(.*?)</a>', text).groups()
    assert "Read the serial" in said
    step = text[text.index(f'id="{at}"') :]
    assert "Read the serial" in step[: step.index("</li>")]
