"""One row of readings as it came."""

from fleet.intake.headers import find_columns
from fleet.intake.reading_rows import ReadingRow, row_of

COLUMNS = find_columns(["tag", "date", "km", "unit"])


def test_a_row_keeps_its_texts_and_the_whole_line():
    row = row_of([" T-3 ", "2026-03-02", "412", ""], COLUMNS, 7)
    assert row == ReadingRow(
        7, "T-3", "odometer", "2026-03-02", "412 km", "T-3 | 2026-03-02 | 412 | "
    )


def test_a_unit_in_the_row_goes_before_that_of_the_column():
    assert row_of(["T-3", "2026-03-02", "412", "mi"], COLUMNS, 7).value == "412 mi"
    assert row_of(["T-3", "2026-03-02", "412 mi", ""], COLUMNS, 7).value == "412 mi"


def test_a_row_of_blanks_is_none():
    assert row_of(["", " ", ""], COLUMNS, 7) is None


def test_the_same_row_elsewhere_has_the_same_fingerprint():
    row = ReadingRow(7, "Q-12", "", "2026-03-02", "412", "raw")
    assert row._replace(line=9, raw="other", machine="q-12").fingerprint == row.fingerprint
    assert row._replace(value="413").fingerprint != row.fingerprint
    assert row._replace(mark="kept").fingerprint == "kept"
