"""Refused readings are mended or dismissed, and never dropped."""

from datetime import timedelta

import pytest

from fleet.actions.mend_readings import (
    MendAnswer,
    RefusedRow,
    dismiss,
    keep_to_mend,
    mend,
    row_of_kept,
)
from fleet.actions.take_readings import ReadingRefused
from fleet.intake.reading_rows import ReadingRow
from fleet.intake.resolving import RowConventions
from fleet.models import Meter, Reading, ReadingToMend
from fleet.numerals import Commas
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

NOW = NOON + timedelta(days=30)


@pytest.fixture
def kept(db):
    """214 h on 5 March, after 412 h on the 2nd."""
    meter = factories.Meter(machine__tag="Q-12")
    factories.Reading(meter=meter, value=412.0)
    row = ReadingRow(7, "Q-12", "", "2026-03-05 08:00", "14")
    keep_to_mend([RefusedRow(row, "backwards", "back", meter.machine)], RowConventions(), NOW)
    return ReadingToMend.objects.get()


@pytest.fixture
def by(db):
    return factories.Person()


def test_a_row_is_kept_once(kept):
    row = row_of_kept(kept)
    keep_to_mend([RefusedRow(row._replace(mark=""), "backwards", "back")], RowConventions(), NOW)
    assert ReadingToMend.objects.count() == 1


def test_a_mended_value_is_taken_and_the_row_settled(kept, by):
    reading = mend(kept, row_of_kept(kept)._replace(value="418"), MendAnswer(), by=by, now=NOW)
    assert (reading.value, reading.source) == (418.0, "file")
    assert (kept.mended_as, kept.mended_by, kept.mended_at) == (reading, by, NOW)
    assert kept.value_text == "14"  # as it came


def test_an_answer_mends_as_well(kept, by):
    reading = mend(kept, row_of_kept(kept), MendAnswer(answer="swapped"), by=by, now=NOW)
    assert Meter.objects.count() == 2
    assert reading.value == 14.0


def test_what_is_still_odd_stays(kept, by):
    with pytest.raises(ReadingRefused):
        mend(kept, row_of_kept(kept), MendAnswer(), by=by, now=NOW)
    kept.refresh_from_db()
    assert kept.mended_at is None


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"machine": "Q-99"}, "machine"),
        ({"meter": "clock"}, "meter"),
        ({"when": "3/2/2026"}, "when"),
        ({"value": "x"}, "value"),
    ],
)
def test_the_refusal_stands_at_the_field_that_is_wrong(kept, by, change, field):
    with pytest.raises(Refusal) as refused:
        mend(kept, row_of_kept(kept)._replace(**change), MendAnswer(), by=by, now=NOW)
    assert refused.value.field == field


def test_mended_twice_is_one_reading(kept, by):
    row = row_of_kept(kept)._replace(value="418")
    assert mend(kept, row, MendAnswer(), by=by, now=NOW) == mend(
        kept, row, MendAnswer(), by=by, now=NOW
    )
    assert Reading.objects.count() == 2


def test_a_dismissed_row_stays_on_record_with_its_reason(kept, by):
    with pytest.raises(Refusal, match="why"):
        dismiss(kept, note="  ", by=by, now=NOW)
    dismiss(kept, note="read off another machine", by=by, now=NOW)
    kept.refresh_from_db()
    assert (kept.mended_note, kept.mended_as) == ("read off another machine", None)
    with pytest.raises(Refusal, match="settled before"):
        mend(kept, row_of_kept(kept), MendAnswer(), by=by, now=NOW)


def test_a_decimal_comma_is_kept_so_that_it_reads_the_same(db):
    row = ReadingRow(2, "Q-12", "", "2026-03-05", "1,204 km")
    keep_to_mend(
        [RefusedRow(row, "unknown_machine", "?")], RowConventions(commas=Commas.DECIMAL), NOW
    )
    assert ReadingToMend.objects.get().value_text == "1.204 km"
