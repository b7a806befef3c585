"""What is answered at the steps of a sheet stands in the book, and is put right there."""

import csv
import io
import re
from datetime import timedelta
from html import unescape

import pytest
from django.core import signing
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fleet.models import Finding, LoggedChange, Measurement, ServiceRecord, SheetEntry, StepAnswer
from fleet.procedures.kept_text import SALT
from tests.factories import NOON, key_of
from tests.scheduling.bench_data import bench_case
from tests.scheduling.views.test_job_page import address, check_step, filled

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(client):
    case = bench_case()
    client.force_login(case.mechanic)
    check_step(case)
    case.service.steps.create(position=9, key="oil-in", kind="fill", place="engine oil",
                              text="Fill {quantity}")  # fmt: skip
    return case


def carried(client, case):
    name = f"text_{key_of('Q-1', 'oil')}"
    text = client.get(address(case)).content.decode()
    return {name: unescape(re.search(f'name="{name}" value="([^"]+)"', text)[1])}


def finish(client, case, **answers):
    steps = {f"step_{case.service.pk}_{key}": value for key, value in answers.items()}
    sent = filled() | carried(client, case) | steps
    client.post(address(case), sent)
    return ServiceRecord.objects.get(corrected_by=None, void=False)


def given(record):
    return {one.step: one.answer for one in record.answers.all()}


def page(client, record):
    return unescape(client.get(reverse("record", args=[record.pk])).content.decode())


def words(text):
    """The text of a page without its marks."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def test_what_was_answered_stands_in_the_book_with_who_and_when(client, case):
    record = finish(client, case, hoses="good", **{"oil-in": "on"})
    assert given(record) == {"hoses": "good", "oil-in": "done"}
    assert {one.by for one in record.answers.all()} == {case.mechanic}
    fill = record.answers.get(step="oil-in")
    assert fill.quantity_ml == case.machine.makeup.fluids.get(place="engine oil").capacity_ml
    text = words(page(client, record))
    assert re.search(rf"Hoses not chafed good {case.mechanic}, \w", text)
    assert "not answered" in text  # the third step
    history = client.get(reverse("machine", args=[case.machine.tag])).content.decode()
    assert "1 done, 1 checked, good" in words(history)


def test_an_answer_is_of_the_moment_at_which_it_was_ticked(client, case):
    before = NOON - timedelta(hours=2)
    name = f"step_{case.service.pk}_hoses"
    key = filled()["form_key"]
    SheetEntry.objects.create(
        machine=case.machine, by=case.mechanic, sheet=key, field=name, value="good",
        typed_at=before, kept_at=before, key="a",
    )  # fmt: skip
    assert finish(client, case, hoses="good").answers.get().at == before


def test_what_was_not_on_the_sheet_is_not_kept(client, case):
    assert given(finish(client, case, hoses="splendid", other="on")) == {}


def test_a_form_sent_twice_answers_once(client, case):
    for _ in range(2):
        record = finish(client, case, hoses="good")
    assert StepAnswer.objects.count() == 1
    assert given(record) == {"hoses": "good"}


def correct(client, record, **changed):
    shown = client.get(reverse("record", args=[record.pk])).context["form"]
    sent = {name: shown[name].value() or "" for name in shown.fields} | {"why": "slip"} | changed
    answer = client.post(reverse("record", args=[record.pk]), sent)
    assert answer.status_code == 302, answer.context["form"].errors
    return ServiceRecord.objects.get(corrects=record)


def test_an_answer_is_put_right_by_a_new_entry_and_its_finding_follows(client, case):
    old = finish(client, case, hoses="attention", **{"oil-in": "on"})
    finding = Finding.objects.get()
    assert old.answers.get(step="hoses").finding == finding
    kept = old.answers.get(step="oil-in")
    form = client.get(reverse("record", args=[old.pk])).context["form"]
    (name,) = [n for n, field in form.fields.items() if field.label == "Hoses not chafed"]
    new = correct(client, old, **{name: "good"})
    assert given(old) == {"hoses": "attention", "oil-in": "done"}
    assert given(new) == {"hoses": "good", "oil-in": "done"}
    assert new.answers.get(step="oil-in").at == kept.at
    finding.refresh_from_db()
    assert finding.struck
    (logged,) = LoggedChange.objects.filter(act="corrected")
    change = logged.values
    assert {"field": "Hoses not chafed", "old": "needs attention", "new": "good"} in change
    newest = correct(client, new, **{name: "stop"})
    fresh = Finding.objects.get(struck=False)
    assert (fresh.text, fresh.gravity) == ("Hoses not chafed: not safe", "unsafe")
    assert newest.answers.get(step="hoses").finding == fresh


def test_what_else_is_put_right_leaves_the_answers(client, case):
    old = finish(client, case, hoses="attention")
    new = correct(client, old, note="looked again")
    assert given(new) == {"hoses": "attention"}
    assert Finding.objects.get().struck is False


def test_how_much_was_filled_in_is_put_right(client, case):
    old = finish(client, case, **{"oil-in": "on"})
    form = client.get(reverse("record", args=[old.pk])).context["form"]
    (name,) = [name for name in form.fields if name.startswith("filled_")]
    new = correct(client, old, **{name: "3 qt"})
    assert new.answers.get().quantity_ml == pytest.approx(2839.06, abs=0.01)
    assert re.search(r"done ?, 3(\.0+)? qt", words(page(client, new)))


def test_what_was_measured_stands_at_its_step(client, case):
    limit = case.service.limits.get()
    sent = filled(**{f"limit_{limit.pk}": "250"}) | carried(client, case)
    client.post(address(case), sent)
    record = Measurement.objects.get().record
    steps = page(client, record).split('id="text"')[1]
    assert f"250 {limit.unit}" in words(steps).replace("  ", " ")


def test_the_book_is_a_file_with_a_row_an_answer(client, case):
    finish(client, case, hoses="good")
    answer = client.get(reverse("book-file", args=[case.machine.tag, "csv"]))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode().lstrip("\ufeff"))))
    (said,) = [row for row in rows if row["step"] == "Hoses not chafed"]
    assert (said["answer"], said["answered by"]) == ("good", str(case.mechanic))
    assert rows[0]["stands"] == "yes"
    xlsx = client.get(reverse("book-file", args=[case.machine.tag, "xlsx"]))
    assert xlsx.content[:2] == b"PK"


def test_the_pages_ask_no_more_of_many_answers(client, case):
    record = finish(client, case, hoses="good")
    addresses = [
        reverse("record", args=[record.pk]), reverse("book-file", args=[case.machine.tag, "csv"])
    ]  # fmt: skip

    def asked():
        with CaptureQueriesContext(connection) as seen:
            for one in addresses:
                client.get(one)
        return len(seen)

    asked()  # what is looked up once
    before = asked()
    for number in range(30):
        record.answers.create(step=f"s{number}", answer="done", by=case.mechanic, at=NOON)
    assert asked() == before


def test_a_second_press_that_answers_otherwise_is_told_so(client, case):
    record = finish(client, case, hoses="good")
    sent = filled() | carried_again(record, case) | {f"step_{case.service.pk}_hoses": "attention"}
    assert "with an answer other" in client.post(address(case), sent).text
    assert given(record) == {"hoses": "good"}


def carried_again(record, case):
    """What the sheet carried, when it is not on the page any more."""
    word = signing.dumps(record.done_text.steps, salt=SALT, compress=True)
    return {f"text_{key_of('Q-1', 'oil')}": word}
