"""Sheets read piece by piece say the same as the usual reader says of them."""

from datetime import date, datetime, time
from io import BytesIO

from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from fleet.intake.sheet_parsing import sheet_rows
from fleet.intake.sheets import sheet_cells, text_of

CELLS = st.one_of(
    st.none(),
    st.integers(-(10**9), 10**12),
    st.floats(-1e6, 1e9, allow_nan=False),
    st.booleans(),
    st.datetimes(datetime(1950, 1, 1), datetime(2100, 1, 1)).map(  # noqa: DTZ001  no zone in cells
        lambda at: at.replace(microsecond=0)
    ),
    st.dates(date(1950, 1, 1), date(2100, 1, 1)),
    st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "Zs"]), max_size=12),
)


def packed(rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    kept = BytesIO()
    book.save(kept)
    return kept.getvalue()


def usual(content):
    sheet = load_workbook(BytesIO(content), read_only=True, data_only=True).active
    for line, values in enumerate(sheet.iter_rows(values_only=True), start=1):
        texts = [text_of(value) for value in values]
        while texts and not texts[-1]:
            texts.pop()
        if texts:
            yield line, texts


def cut(rows):
    for line, texts in rows:
        while texts and not texts[-1]:
            texts.pop()
        if texts:
            yield line, texts


@given(st.lists(st.lists(CELLS, max_size=6), max_size=8))
def test_the_same_as_the_usual_reader(rows):
    content = packed(rows)
    assert list(cut(sheet_cells(content, "f.xlsx"))) == list(usual(content))


def test_times_of_day_and_texts_in_the_cell_itself():
    assert list(sheet_cells(packed([[time(14, 30), "a & b <c>"]]), "f.xlsx")) == [
        (1, ["14:30", "a & b <c>"])
    ]


def test_cells_without_a_place_follow_one_another():
    xml = (
        b'<x:worksheet xmlns:x="m"><x:sheetData><x:row><x:c><x:v>1</x:v></x:c>'
        b'<x:c t="inlineStr"><x:is><x:r><x:t>two</x:t></x:r>'
        b"<x:r><x:t> runs</x:t></x:r></x:is></x:c>"
        b'</x:row><x:row r="4"><x:c r="C4"><x:f>1+1</x:f><x:v>2</x:v></x:c></x:row>'
        b"</x:sheetData></x:worksheet>"
    )
    rows = list(sheet_rows(BytesIO(xml), lambda value, kind, style: value))
    assert rows == [(1, ["1", "two runs"]), (4, ["", "", "2"])]
