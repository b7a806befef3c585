"""Undoing an import: all of it, or a sentence that names what stands in the way."""

from datetime import date

import pytest

from fleet.actions.make_bookings import NewBooking
from fleet.bring_in.import_acts import bring_at_once
from fleet.bring_in.import_undo import undo_import
from fleet.models import Import, LoggedChange, Machine, ReadingToMend
from fleet.refusal import Refusal
from tests import factories
from tests.booked import book
from tests.fleet.bring_in.test_import_acts import NOW
from tests.fleet.bring_in.workbooks import READINGS, row_counts, workbook


def come(sheets=None):
    return bring_at_once(workbook(sheets), "fleet.xlsx", make_missing=True, by=None, now=NOW)[0]


def test_it_gives_the_row_counts_of_before(db):
    factories.Meter(machine__tag="Q-1")
    before = row_counts()
    kept = come()
    assert row_counts() != before
    undo_import(kept, by=None, now=NOW)
    assert row_counts() == before
    assert Import.objects.get().stage == Import.Stage.UNDONE
    assert LoggedChange.objects.get().act == "undone"


def test_twice_is_once(db):
    kept = come()
    undo_import(kept, by=None, now=NOW)
    undo_import(kept, by=None, now=NOW)
    assert LoggedChange.objects.count() == 1


def test_what_was_built_upon_it_stands_in_the_way_by_name(db):
    kept = come()
    machine = Machine.objects.get(tag="MX-02")
    new = NewBooking(machine, date(2026, 12, 1), date(2026, 12, 2), "Hill Farm")
    booking = book(new, by=None, now=NOW)
    before = row_counts()
    with pytest.raises(Refusal, match="booking MX-02: Hill Farm"):
        undo_import(kept, by=None, now=NOW)
    assert row_counts() == before
    assert Import.objects.get().stage == Import.Stage.DONE
    booking.delete()
    undo_import(kept, by=None, now=NOW)
    assert not Machine.objects.exists()


def test_a_later_import_stands_in_the_way_of_the_first_until_it_is_undone(db):
    first = come()
    second = come({"More": [["Tag", "Date", "Hours"], ["MX-03", "2025-11-01", 300]]})
    with pytest.raises(Refusal, match=r"reading MX-03 hour meter: 300"):
        undo_import(first, by=None, now=NOW)
    undo_import(second, by=None, now=NOW)
    undo_import(first, by=None, now=NOW)
    assert not Machine.objects.exists()


def test_readings_that_it_settled_wait_again(db):
    come({"Readings": READINGS})
    kept_before = list(ReadingToMend.objects.filter(mended_at=None).values_list("pk", flat=True))
    assert len(kept_before) == 9
    fleet_first = come()
    assert ReadingToMend.objects.filter(mended_at=None).count() == 0
    undo_import(fleet_first, by=None, now=NOW)
    left = ReadingToMend.objects.filter(mended_at=None)
    assert list(left.values_list("pk", flat=True)) == kept_before
