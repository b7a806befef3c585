"""manage.py bring_in: an owner's spreadsheets by command, looked at, brought in, undone."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import Import, LoggedChange, Machine
from tests.fleet.bring_in.workbooks import row_counts, workbook

pytestmark = pytest.mark.django_db
KINDS = {
    "make_ups", "machines", "services", "intervals", "parts", "people", "bookings", "readings"
}  # fmt: skip
COUNTS = ["name", "kind", "rows", "added", "same", "refused", "skipped"]


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "fleet.xlsx"
    path.write_bytes(workbook())
    return path


def bring(*words, **options):
    out = StringIO()
    call_command("bring_in", *map(str, words), stdout=out, **options)
    return out.getvalue()


def test_json_counts_each_sheet_by_kind(file):
    told = json.loads(bring(file, make_missing=True, json=True))
    assert told["import"] == Import.objects.get().pk
    assert {sheet["kind"] for sheet in told["sheets"]} == KINDS
    assert all(list(sheet) == COUNTS for sheet in told["sheets"])
    for sheet in told["sheets"]:
        parts = sheet["added"] + sheet["same"] + sheet["refused"] + sheet["skipped"]
        assert sheet["rows"] == parts > 0


def test_a_second_time_adds_nothing(file):
    bring(file, make_missing=True)
    before = row_counts()
    told = json.loads(bring(file, make_missing=True, json=True))
    assert [sheet["added"] for sheet in told["sheets"]] == [0] * len(KINDS)
    assert Machine.objects.count() == before["Machine"] == 3


def test_a_dry_run_writes_nothing_and_says_what_would_be_made(file):
    before = row_counts()
    said = bring(file, make_missing=True, dry_run=True)
    assert "would be made, to be completed: yard" in said
    assert "Nothing was written: a dry run." in said
    assert json.loads(bring(file, make_missing=True, dry_run=True, json=True))["import"] is None
    assert row_counts() == before


def test_what_is_missing_is_refused_once_a_reason_with_its_lines(file):
    said = bring(file)
    reason = "There is no make-up “Tarnbeck T20”."
    assert said.count(f"Fleet, lines 5 and 6: {reason}") == 1
    assert said.count("Fleet, line 7: ") == 1
    assert not Machine.objects.exists()


def test_undone_the_facts_of_before_are_left(file):
    before = row_counts()
    told = json.loads(bring(file, make_missing=True, json=True))
    assert "rows taken away" in bring(undo=told["import"])
    assert row_counts() == before
    assert LoggedChange.objects.filter(act="undone").exists()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ([], "Name a file"),
        (["nowhere.xlsx"], "There is no file nowhere.xlsx"),
        (["--undo", "77"], "There is no import 77"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_exit_2(words, sentence):
    with pytest.raises(CommandError, match=sentence) as refused:
        bring(*words)
    assert refused.value.returncode == 2
