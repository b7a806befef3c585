"""Tables as files that no spreadsheet runs as a formula."""

import csv
from datetime import date
from io import BytesIO, StringIO

import pytest
from openpyxl import load_workbook

from fleet.table_files import TableOfCells, as_file

NASTY = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", '=HYPERLINK("http://x","y")']


def table(*rows):
    return TableOfCells("overdue", ("machine", "hours", "day"), rows)


def test_csv_is_utf_8_with_a_mark_and_quotes_as_rfc_4180_says():
    made = as_file(table(('Q-1, "old"', 3.5, date(2026, 3, 2)), ("Ünal", None, None)), "csv")
    assert made.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(StringIO(made.decode("utf-8-sig"))))
    assert rows[1:] == [['Q-1, "old"', "3.5", "2026-03-02"], ["Ünal", "", ""]]


@pytest.mark.parametrize("text", NASTY)
def test_text_stays_text_in_both(text):
    made = as_file(table((text, -2.5, None)), "csv").decode("utf-8-sig")
    rows = list(csv.reader(StringIO(made, newline="")))
    assert rows[1][0] == f"'{text}"
    assert rows[1][1] == "-2.5"  # a number is no text
    cell = load_workbook(BytesIO(as_file(table((text, -2.5, None)), "xlsx"))).active["A2"]
    assert (cell.data_type, cell.value) == ("s", text)


def test_xlsx_keeps_numbers_and_days_and_drops_what_it_cannot_hold():
    made = as_file(table(("Q-1\x0b", 3.5, date(2026, 3, 2))), "xlsx")
    row = [cell.value for cell in load_workbook(BytesIO(made)).active[2]]
    assert row[:2] == ["Q-1 ", 3.5]
    assert row[2].date() == date(2026, 3, 2)
