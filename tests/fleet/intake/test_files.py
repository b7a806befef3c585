"""Files of readings into rows."""

from datetime import date, datetime
from io import BytesIO
from zipfile import ZipFile

import pytest
from openpyxl import Workbook

from fleet.intake.files import open_file
from fleet.intake.headers import FileRefused
from fleet.numerals import Commas

WALL_CLOCK = datetime(2026, 3, 2, 14, 30)  # noqa: DTZ001  a cell knows no zone


@pytest.fixture
def write(tmp_path):
    """Write bytes or text to a file and return its path."""

    def to_file(content, name="readings.csv"):
        path = tmp_path / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    return to_file


def rows(path):
    return [(r.line, r.machine, r.meter, r.when, r.value) for r in open_file(path).rows]


def workbook(*lines):
    book = Workbook()
    for line in lines:
        book.active.append(line)
    content = BytesIO()
    book.save(content)
    return content.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        "tag,date,value\nQ-12,2026-03-02,412.5\n",
        "tag;date;value\nQ-12;2026-03-02;412.5\n",
        "tag\tdate\tvalue\nQ-12\t2026-03-02\t412.5\n",
        '"tag","date","value"\r\n"Q-12","2026-03-02","412.5"\r\n',
        "\ufefftag,date,value\nQ-12,2026-03-02,412.5",  # UTF-8 with a mark, no last line end
        "tag,date,value\nQ-12,2026-03-02,412.5\n".encode("utf-16"),
        "tag,date,value\r\rQ-12,2026-03-02,412.5\r".replace("\r\r", "\r"),  # old line ends
    ],
)
def test_the_same_reading_in_many_files(write, content):
    assert rows(write(content)) == [(2, "Q-12", "", "2026-03-02", "412.5")]


def test_a_semicolon_file_has_decimal_commas(write):
    sheet = open_file(write("Tag;Datum;date;value\nQ-12;x;2026-03-02;412,5\n"))
    assert sheet.commas is Commas.DECIMAL


def test_latin_1_is_read_where_utf_8_fails(write):
    path = write("tag,date,value\nÄ-1,2026-03-02,412\n".encode("latin-1"))
    assert rows(path)[0][1] == "Ä-1"


def test_a_title_may_stand_above_and_empty_rows_between(write):
    path = write("Readings of March\n\ntag,date,value\n,,\nQ-12,2026-03-02,412\n")
    assert rows(path) == [(5, "Q-12", "", "2026-03-02", "412")]


def test_lines_are_counted_as_an_editor_does(write):
    path = write('tag,date,value,note\nA,2026-03-02,1,"two\nlines"\nB,2026-03-02,2,\n')
    assert [line for line, *_ in rows(path)] == [2, 4]


def test_unit_time_and_short_rows(write):
    path = write("tag,date,time,value,unit\nQ-12,2026-03-02,14:30,412,mi\nQ-13\n")
    assert rows(path) == [
        (2, "Q-12", "", "2026-03-02 14:30", "412 mi"),
        (3, "Q-13", "", "", ""),
    ]


def test_a_workbook_gives_dates_and_numbers_as_they_would_be_typed(write):
    path = write(
        workbook(
            ["tag", "read at", "hours"],
            ["Q-12", WALL_CLOCK, 412.5],
            ["Q-13", date(2026, 3, 2), 413],
            ["Q-14", "2026-03-02", "414"],
            [],
        ),
        "readings.xlsx",
    )
    assert rows(path) == [
        (2, "Q-12", "hours", "2026-03-02 14:30:00", "412.5"),
        (3, "Q-13", "hours", "2026-03-02", "413"),
        (4, "Q-14", "hours", "2026-03-02", "414"),
    ]


def zipped(**parts):
    content = BytesIO()
    with ZipFile(content, "w") as packed:
        for name, text in parts.items():
            packed.writestr(name, text)
    return content.getvalue()


@pytest.mark.parametrize(
    ("content", "word"),
    [
        ("", "is empty"),
        ("\ufeff \n", "is empty"),
        ("tag,weight\nQ-12,4\n", "must have a column"),  # wrong columns
        ("Q-12,2026-03-02,412\n", "must have a column"),  # no header
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "locked with a password"),  # encrypted or .xls
        (b"PK\x03\x04 broken off", "damaged"),
        (zipped(hello="no workbook"), "damaged"),
        (workbook(["tag"])[:-200], "damaged"),
        (workbook([]), "must have a column"),  # a workbook without a cell
        (b"\x89PNG\x00\x00\x01", "neither text nor XLSX"),
        (b"\xff\xfea", "breaks off"),
    ],
)
def test_a_file_that_cannot_be_read_gets_a_sentence(write, content, word):
    path = write(content)
    with pytest.raises(FileRefused, match=word):
        list(open_file(path).rows)


def test_a_missing_file_and_a_folder(tmp_path):
    with pytest.raises(FileRefused, match="There is no file"):
        open_file(tmp_path / "gone.csv")
    with pytest.raises(FileRefused, match="is a folder"):
        open_file(tmp_path)


def test_a_field_without_end_names_its_line(write):
    path = write('tag,date,value\nA,2026-03-02,1\nB,2026-03-02,"' + "2\n" * 70_000)
    with pytest.raises(FileRefused, match="from line 3 on"):
        list(open_file(path).rows)
