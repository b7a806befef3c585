"""A sheet that is left under way or put off: what was seen on it counts at once, and once."""

import pytest
from django.urls import reverse

from fleet.models import Finding, Hold, Measurement, Progress, PutOff, ServiceRecord, SheetEntry
from tests import consequences, factories
from tests.factories import TODAY, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, check_step, filled

pytestmark = pytest.mark.django_db
ENDS = ["leave-work", "put-off"]


@pytest.fixture
def case(client):
    case = bench_case()
    check_step(case)
    case.service.limits.update(name="lining", unit="mm", low=1.5, safety=True)
    client.force_login(case.mechanic)
    return case


def names(case):
    return f"limit_{case.service.limits.get().pk}", f"step_{case.service.pk}_hoses"


def end(client, url, **more):
    typed = {"worked": "10", "left": "20", "reason": "no filter"}
    return client.post(f"{reverse(url, args=['Q-1'])}?day={TODAY}", filled(**typed | more))


@pytest.mark.parametrize("url", ENDS)
def test_what_is_not_safe_holds_at_once_and_once_however_it_goes_on(client, case, url):
    limit, step = names(case)
    seen = {limit: "0.4", step: "stop"}
    for _ in range(2):
        end(client, url, **seen)
    assert set(Hold.objects.values_list("reason", flat=True)) == {
        "lining: 0.4 mm, below the limit of 1.5 mm", "Hoses not chafed: not safe"
    }  # fmt: skip
    assert Progress.objects.count() + PutOff.objects.count() == 1
    sheet = SheetEntry.objects.filter(spent_at=None).values_list("sheet", flat=True)[0]
    finished = filled(form_key=sheet, **seen)
    for _ in range(2):
        client.post(address(case), finished)
    if url == "leave-work":  # what was put off is another day's
        assert ServiceRecord.objects.count() == Measurement.objects.count() == 1
    assert Finding.objects.count() == Hold.objects.count() == 2


@pytest.mark.parametrize("url", ENDS)
def test_what_cannot_be_is_refused_with_the_typing_kept(client, case, url):
    limit, _ = names(case)
    page = end(client, url, **{limit: "-1"})
    assert "there is no less than none" in page.text
    assert f'name="{limit}" value="-1"' in page.text
    assert 'value="no filter"' in page.text
    for nothing in (Progress, PutOff, Hold):
        assert not nothing.objects.exists()


@pytest.mark.parametrize("url", ENDS)
def test_a_limit_that_is_not_for_safety_is_asked_about_and_the_answer_is_kept(client, case, url):
    case.service.limits.update(safety=False)
    limit, _ = names(case)
    assert "Say below how soon" in end(client, url, **{limit: "1.2"}).text
    end(client, url, **{limit: "1.2", f"soon_{limit}": "plan"})
    assert Finding.objects.get().gravity == Finding.Gravity.DEFECT
    assert SheetEntry.objects.get(field=f"soon_{limit}").value == "plan"


def test_an_odd_value_is_asked_about_before_work_is_left(client, case):
    limit, _ = names(case)
    assert "253 times the limit of 1.5" in end(client, "leave-work", **{limit: "380"}).text
    assert not Progress.objects.exists()


def test_an_inspection_may_be_left_with_blanks(client, case):
    case.service.steps.update(required=True)
    assert end(client, "leave-work").status_code == 302


def test_a_hold_that_was_let_go_is_hung_again_when_the_same_is_found_again(client, case):
    limit, _ = names(case)
    end(client, "leave-work", **{limit: "0.4"})
    Hold.objects.update(released_at=Hold.objects.get().placed_at)
    client.post(address(case), filled(form_key="b" * 32, **{limit: "0.4"}))
    assert Hold.objects.filter(released_at=None).count() == 1


def test_what_was_left_is_gone_back_to_and_finished_with_the_same_words(client, case):
    end(client, "leave-work", finding="tyre cut")
    client.post(address(case), filled(finding="tyre cut"))
    assert ServiceRecord.objects.count() == Finding.objects.count() == 1


OPEN = {"worked": "40", "left": "50", "lies_open": "plug out", "reason": "no filter"}


@pytest.mark.parametrize(
    ("url", "stays"), [("leave-work", ["reason"]), ("put-off", ["worked", "left", "lies_open"])]
)
def test_what_was_written_for_another_end_stays_on_the_sheet(client, case, url, stays):
    part = f"part_{case.machine.makeup.fluids.get().part.pk}"
    end(client, url, **OPEN, **{part: "1.9"})
    kept = dict(SheetEntry.objects.filter(spent_at=None).values_list("field", "value"))
    assert kept == {name: OPEN[name] for name in stays} | {part: "1.9"}


@pytest.mark.parametrize("name", OPEN)
def test_what_was_written_for_another_end_is_asked_about_as_work_is_finished(client, case, name):
    page = client.post(address(case), filled(**{name: OPEN[name]}))
    assert "empty" in page.context["form"].errors[name][0]
    assert not ServiceRecord.objects.exists()


def test_what_was_unticked_stays_unticked(client, case):
    small = factories.Service(code="grease", name="Grease and look-over")
    factories.cover(case.machine.makeup, case.service, small)
    factories.Interval(service=small, makeup=case.machine.makeup, every=50)
    consequences.DuePoint(machine=case.machine, service=small, state="due")
    also = f"{key_of('Q-1', 'oil')}|{small.pk}"
    end(client, "leave-work", also_shown=[also])
    assert f'name="also" value="{also}">' in client.get(address(case)).text
