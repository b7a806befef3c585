"""Procedures as files: what each step says, on each make-up and before, and who may have them."""

import csv
from io import BytesIO, StringIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook

from fleet.actions.keep_changes import keep_change
from fleet.actions.keep_steps import keep_step, take_out_step
from fleet.actions.take_procedures import take_procedures
from fleet.models import Caution, LibraryCopy, Role, Service, ServiceStep, StepPicture
from fleet.procedures.library import procedure_called
from fleet.queries.procedure_rows import TITLES
from tests import factories as make
from tests.factories import NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def boss(client):
    person = make.Person(first_name="Odile", last_name="Marsh", shop=make.Shop(time_zone="UTC"))
    client.force_login(person)
    return person


@pytest.fixture
def oil(boss):
    """An oil change of two make-ups, of which one says its own pressure."""
    service = make.Service(name="Oil", code="oil")
    for litres in (2.0, 2.3):
        makeup = make.MakeUp(model=f"Hare {litres:g}")
        makeup.fluids.create(place="engine oil", grade="5W-40", capacity_ml=litres * 1000)
        make.Interval(service=service, makeup=makeup)
    makeup.figures.create(name="plug torque", value=20, unit="ft lb", source="page 9")
    makeup.traits = {"oil-cooler": "no"}
    makeup.save()
    service.limits.create(name="oil pressure", unit="psi", low=20, possible_high=200, safety=True)
    service.limits.create(name="oil pressure", unit="psi", low=30, makeup=makeup, source="page 4")
    return service


def step(service, boss, **facts):
    return keep_step(ServiceStep(service=service, **facts), by=boss, now=NOON)


def rows(client, pk=None, **asked):
    name, arguments = ("procedure-file", [pk, "csv"]) if pk else ("procedures-file", ["csv"])
    answer = client.get(reverse(name, args=arguments), asked)
    assert answer.status_code == 200
    assert "attachment" in answer["Content-Disposition"]
    return list(csv.DictReader(StringIO(answer.content.decode("utf-8-sig"), newline="")))


def test_a_step_stands_as_it_is_set_up_and_as_it_reads_on_each_make_up(client, boss, oil):
    step(oil, boss, kind="fill", place="engine oil", text="Fill {quantity} of {grade}",
         first_share=0.5, share=1, tool="funnel", required=True)  # fmt: skip
    stands, first, second, *measured = rows(client, oil.pk)
    assert (stands["row"], stands["make-up"], stands["quantity, L"]) == ("as it stands", "", "")
    assert [stands[name] for name in ("service", "service code", "version", "order", "kind")] == [
        "Oil", "oil", "1", "1", "fill",
    ]  # fmt: skip
    assert (stands["text"], stands["tool"], stands["required"]) == (
        "Fill {quantity} of {grade}", "funnel", "yes",
    )  # fmt: skip
    assert (first["quantity, L"], first["quantity as shown"]) == ("2.0", "2.11 qt")
    assert (first["filled first as shown"], first["share filled first"]) == ("1.06 qt", "0.5")
    assert second["text as shown"] == "Fill 2.43 qt of 5W-40"
    assert stands["made"] == NOON.isoformat(timespec="minutes")
    assert stands["made by"] == "Odile Marsh"
    assert len(measured) == 3  # what no step names is measured all the same


def test_limits_stand_as_written_and_in_si_a_make_ups_own_beside_those_of_all(client, boss, oil):
    step(oil, boss, kind="measure", measures="oil pressure", text="Look at the gauge")
    stands, first, second = rows(client, oil.pk)
    for one, low in ((stands, "20.0"), (first, "20.0"), (second, "30.0")):
        assert (one["low"], one["unit"], one["high"]) == (low, "psi", "")
        assert float(one["low in SI"]) == pytest.approx(float(low) * 6.894757)
        assert (one["SI unit"], one["high in SI"]) == ("kPa", "")
    assert (stands["most that can be"], stands["for safety"]) == ("200.0", "yes")
    assert second["source of the limit"] == "page 4"


def test_torque_condition_caution_and_drawing_stand_in_it(client, boss, oil):
    caution = Caution.objects.create(code="hot", signal="warning", text="Hot oil.", source="ours")
    step(oil, boss, kind="fasten", text="Plug to {figure}", figure="plug torque", caution=caution,
         only_on="oil-cooler:yes", turning_order="by hand first", drawing="toe")  # fmt: skip
    step(oil, boss, kind="fasten", text="Plug to {figure}", figure="plug torque")
    lines = [one for one in rows(client, oil.pk) if one["kind"] == "fasten"]
    cooler, open_, shut, _, _, plain = lines
    assert (cooler["only on"], cooler["only on, in words"]) == ("oil-cooler:yes", "an oil cooler")
    assert (open_["done on it"], shut["done on it"]) == ("if it has an oil cooler", "no")
    assert cooler["caution"] == "WARNING: Hot oil."
    assert (cooler["in what order"], cooler["picture file"]) == ("by hand first", "toe.svg")
    assert "height of the hub" in cooler["what the picture shows"]
    assert (plain["figure value"], plain["figure unit"], plain["figure source"]) == (
        "20.0", "ft lb", "page 9",
    )  # fmt: skip
    assert (plain["figure in SI"], plain["figure SI unit"]) == ("27.11636", "N m")
    assert plain["text as shown"] == "Plug to 20 ft lb"


def test_what_a_step_said_before_stands_with_who_and_when(client, boss, oil):
    other = make.Person(first_name="Wes", last_name="Hale")
    picture = StepPicture.objects.create(
        name="2026/03/a.jpg", wide=8, high=6, digest="d", shows="The lower mark", by=boss, at=NOON
    )
    drain = step(oil, boss, text="Drain it", picture=picture, share=0.5)
    drain.text, drain.picture, later = "Drain it warm", None, NOON.replace(day=4)
    keep_step(drain, by=other, now=later)
    now, _, _, before, *_ = rows(client, oil.pk)
    assert [now[name] for name in ("version", "text", "made by", "until")] == [
        "2", "Drain it warm", "Wes Hale", "",
    ]  # fmt: skip
    told = ("row", "version", "text", "kind", "share", "made by", "until by")
    assert [before[name] for name in told] == [
        "before", "1", "Drain it", "do", "0.5", "Odile Marsh", "Wes Hale",
    ]  # fmt: skip
    assert before["until"] == later.isoformat(timespec="minutes")
    assert (before["picture file"], before["what the picture shows"]) == (
        "2026/03/a.jpg", "The lower mark",
    )  # fmt: skip
    take_out_step(drain, by=boss, now=NOON.replace(day=5))
    gone, older = [one for one in rows(client, oil.pk) if one["text"].startswith("Drain")]
    assert (gone["row"], gone["text"], gone["until by"]) == (
        "taken out", "Drain it warm", "Odile Marsh",
    )  # fmt: skip
    assert (older["row"], older["text"]) == ("before", "Drain it")


def test_what_fits_no_step_any_more_stands_as_the_log_tells_it(client, boss, oil):
    keep_change(oil, "step changed: Nowhere", [], by=None, now=NOON)
    told = [{"field": "text", "old": "=Here", "new": "Nowhere"}]
    boss.changes_made.model.objects.filter(subject_id=oil.pk).update(values=told)
    *_, loose = rows(client, oil.pk)
    assert loose["row"] == "as the change log tells it"
    assert loose["in the change log"] == "step changed: Nowhere; text: =Here → Nowhere"
    assert loose["until by"] == "the program"


def test_a_copy_of_the_library_tells_when_it_was_taken(client, boss):
    take_procedures([procedure_called("quad-basic")], by=boss, now=NOON)
    service = LibraryCopy.objects.get().service
    lines = [one for one in rows(client, service.pk) if one["order"]]
    assert len(lines) == len(procedure_called("quad-basic").steps)
    assert {one["made by"] for one in lines} == {"Odile Marsh"}
    assert {one["made"] for one in lines} == {NOON.isoformat(timespec="minutes")}
    texts = [one.text for one in procedure_called("quad-basic").steps]
    assert [one["text"] for one in lines] == texts


def test_text_is_never_a_formula(client, boss, oil):
    step(oil, boss, text="=HYPERLINK(1)", tool="@cmd", source="+1")
    one = rows(client, oil.pk)[0]
    assert (one["text"], one["tool"], one["source"]) == ("'=HYPERLINK(1)", "'@cmd", "'+1")
    book = client.get(reverse("procedure-file", args=[oil.pk, "xlsx"])).content
    head, first, *_ = load_workbook(BytesIO(book)).active.iter_rows()
    assert [cell.value for cell in head] == list(TITLES)
    cell = first[TITLES.index("text")]
    assert (cell.data_type, cell.value) == ("s", "=HYPERLINK(1)")


def test_all_services_stand_in_one_file_and_what_is_sought_narrows_it(client, boss, oil):
    step(oil, boss, text="Drain it")
    step(make.Service(name="Brakes", code="brakes"), boss, text="Look at them")
    assert {one["service"] for one in rows(client)} == {"Oil", "Brakes"}
    assert {one["service"] for one in rows(client, q="brake")} == {"Brakes"}
    assert rows(client, q="nothing of ours") == []


def test_the_make_up_that_is_chosen_on_the_page_is_the_only_one(client, boss, oil):
    step(oil, boss, kind="fill", place="engine oil", text="Fill {quantity}")
    makeup = oil.intervals.last().makeup
    found = {one["make-up"] for one in rows(client, oil.pk, makeup=makeup.pk)}
    assert found == {"", str(makeup)}


def test_as_many_queries_however_many_services_steps_make_ups_and_changes(client, boss, oil):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            rows(client)
        return len(queries)

    step(oil, boss, text="Drain it")
    few = asked()
    take_procedures(
        [procedure_called("quad-basic"), procedure_called("trailer-yearly")], by=boss, now=NOON
    )
    for service in Service.objects.all():
        make.Interval(service=service, makeup=make.MakeUp())
        for row in service.steps.all()[:3]:
            row.text = f"{row.text[:200]} again"
            keep_step(row, by=make.Person(), now=NOON.replace(day=4))
    assert len(rows(client)) > 40
    assert asked() == few


def test_the_links_stand_on_the_pages(client, boss, oil):
    file = reverse("procedure-file", args=[oil.pk, "csv"])
    page = client.get(reverse("procedure", args=[oil.pk])).text
    assert f'href="{file}?' in page
    assert f'href="{file.replace(".csv", ".xlsx")}?' in page
    every = reverse("procedures-file", args=["xlsx"])
    for name in ("procedures", "set-up-services"):
        assert f'href="{every}?' in client.get(reverse(name)).text
    assert f'href="{every}?q=oil"' in client.get(reverse("set-up-services"), {"q": "oil"}).text
    assert "steps.csv" not in client.get(reverse("set-up-parts")).text


def test_a_mechanic_has_the_one_and_not_all_and_others_have_none(client, oil):
    one = reverse("procedure-file", args=[oil.pk, "csv"])
    every = reverse("procedures-file", args=["csv"])
    for role, answers in ((Role.MECHANIC, (200, 403)), (Role.DESK, (403, 403)),
                          (Role.HAND, (403, 403))):  # fmt: skip
        client.force_login(make.Person(role=role))
        assert (client.get(one).status_code, client.get(every).status_code) == answers
    client.logout()
    assert client.get(one).status_code == 302


def test_what_there_is_not_has_no_file(client, boss, oil):
    assert client.get(reverse("procedure-file", args=[oil.pk, "pdf"])).status_code == 404
    assert client.get(reverse("procedures-file", args=["pdf"])).status_code == 404
    assert client.get(reverse("procedure-file", args=[oil.pk + 99, "csv"])).status_code == 404
    assert client.post(reverse("procedures-file", args=["csv"])).status_code == 405
