"""Rows of files taken as readings, or kept to be mended."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.actions import take_rows as intake_module
from fleet.actions.take_rows import take_rows, try_again
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import RowConventions
from fleet.models import Reading, ReadingToMend
from tests import factories
from tests.factories import NOON

NOW = NOON + timedelta(days=30)
ORDER = RowConventions(file_name="march.csv")


@pytest.fixture
def quad(db):
    return factories.Meter(machine__tag="Q-12", fitted_at=NOON - timedelta(days=60))


def rows(*values, tag="Q-12", first=2):
    """Rows of one machine, one a day from 2 March on."""
    return [
        ReadingRow(first + i, tag, "", f"2026-03-{2 + i:02d} 08:00", str(value))
        for i, value in enumerate(values)
    ]


def outcome(intake):
    return intake.new, intake.known, [(r.row.line, r.reason) for r in intake.refused]


def test_good_rows_are_taken_and_bad_ones_kept(quad):
    intake = take_rows(rows(400, 408, 214, "abc", 415), ORDER, NOW)
    assert outcome(intake) == (3, 0, [(4, "backwards"), (5, "not_a_number")])
    kept = ReadingToMend.objects.get(line=4)
    assert (kept.machine, kept.value_text, kept.file_name) == (quad.machine, "214", "march.csv")
    assert kept.sentence.startswith("Q-12 showed 408.0 h on Tue 3 Mar; 214.0 h would be 194 h back")


def test_twice_has_the_effect_of_once(quad):
    lines = rows(400, 408, 214, "abc", 415)
    take_rows(lines, ORDER, NOW)
    again = take_rows(lines, ORDER, NOW)
    assert (again.new, again.known) == (0, 3)
    assert all(refused.known for refused in again.refused)
    assert (Reading.objects.count(), ReadingToMend.objects.count()) == (3, 2)


def test_the_same_row_twice_in_a_file_is_one(quad):
    intake = take_rows([*rows(400), *rows(400, first=3)], ORDER, NOW)
    assert outcome(intake) == (1, 1, [])


def test_the_order_of_rows_does_not_matter(quad):
    lines = rows(400, 408, 214, 415)
    intake = take_rows(reversed(lines), ORDER, NOW)
    assert outcome(intake) == (3, 0, [(4, "backwards")])


def test_a_plausible_typing_error_is_told_by_the_two_readings_after_it(quad):
    """418 for 408: without this the good readings after it would be refused."""
    intake = take_rows(rows(400, 418, 409, 410, 411), ORDER, NOW)
    assert outcome(intake) == (4, 0, [(3, "backwards")])
    assert "before that, would be 9 h more" in intake.refused[0].sentence


def test_a_swap_without_record_refuses_what_the_new_meter_showed(quad):
    intake = take_rows(rows(400, 408, 2, 9), ORDER, NOW)
    assert outcome(intake) == (2, 0, [(4, "backwards"), (5, "backwards")])


def test_a_dry_run_says_the_same_and_writes_nothing(quad, monkeypatch):
    monkeypatch.setattr(intake_module, "BATCH", 2)
    lines = rows(400, 408, 214, 415)
    dry = take_rows(lines, RowConventions(dry_run=True), NOW)
    assert not Reading.objects.exists()
    assert not ReadingToMend.objects.exists()
    assert outcome(dry) == outcome(take_rows(lines, ORDER, NOW))


def test_batches_know_of_each_other(quad, monkeypatch):
    monkeypatch.setattr(intake_module, "BATCH", 1)
    assert outcome(take_rows(rows(400, 408, 214), ORDER, NOW)) == (2, 0, [(4, "backwards")])


def test_a_mended_reading_does_not_come_back_with_the_file(quad):
    take_rows(rows(400, 418), ORDER, NOW)
    wrong = Reading.objects.get(value=418)
    factories.Reading(meter=quad, read_at=wrong.read_at, value=408, corrects=wrong)
    assert outcome(take_rows(rows(400, 418), ORDER, NOW)) == (0, 2, [])


def test_rows_of_an_unknown_machine_are_taken_once_it_is_set_up(db):
    lines = rows(400, 408, tag="NEW-1")
    assert len(take_rows(lines, ORDER, NOW).refused) == 2
    factories.Meter(machine__tag="NEW-1")
    assert outcome(take_rows(lines, ORDER, NOW)) == (2, 0, [])
    kept = ReadingToMend.objects.get(line=2)
    assert (kept.mended_at, kept.mended_as.value) == (NOW, 400)
    assert outcome(take_rows(lines, ORDER, NOW)) == (0, 2, [])


def test_a_dismissed_row_is_not_judged_again(quad):
    take_rows(rows(400, 408, 214), ORDER, NOW)
    ReadingToMend.objects.update(mended_at=NOW, mended_note="typed off the wrong line")
    Reading.objects.all().delete()
    intake = take_rows(rows(400, 408, 214), ORDER, NOW)
    assert [refused.known for refused in intake.refused] == [True]


def test_kept_rows_are_tried_again_after_what_ails_them_is_mended(quad):
    """The swap is noted later; the rows of the new meter then fit."""
    take_rows(rows(400, 408, 2, 9), ORDER, NOW)
    quad.removed_at, quad.last_value = NOON + timedelta(days=1, hours=1), 408
    quad.save()
    factories.Meter(machine=quad.machine, fitted_at=quad.removed_at)
    done = try_again(ReadingToMend.objects.filter(mended_at=None), by=None, now=NOW)
    assert (done.new, done.refused) == (2, [])
    assert not ReadingToMend.objects.filter(mended_at=None).exists()
    assert outcome(take_rows(rows(400, 408, 2, 9), ORDER, NOW))[0] == 0


def test_a_days_reading_without_time_is_there_if_its_day_has_it(quad):
    factories.Reading(meter=quad, value=400.0, read_at=NOON + timedelta(hours=3))
    row = ReadingRow(2, "Q-12", "", "2026-03-02", "400")
    assert outcome(take_rows([row], ORDER, NOW)) == (0, 1, [])


def test_queries_do_not_grow_with_rows(db):
    counts = []
    for number in (2, 25, 40):
        lines = []
        for i in range(number):
            tag = factories.Meter(machine__tag=f"M{number}-{i}").machine.tag
            lines += rows(100, 108, 50, tag=tag, first=2 + 3 * i)
        with CaptureQueriesContext(connection) as queries:
            intake = take_rows(lines, ORDER, NOW)
        assert (intake.new, len(intake.refused)) == (2 * number, number)
        counts.append(len(queries))
    assert counts[1] == counts[2]
    assert counts[1] <= counts[0] + 1  # of many meters, those seldom read are asked for once more
