"""Bombs, entities and huge files get a sentence, quickly and without memory; at both doors."""

import tracemalloc
from io import BytesIO
from time import process_time
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fleet.bring_in.sheet_tables import open_tables
from fleet.intake.file_limits import MEGABYTE
from fleet.intake.files import open_file
from fleet.intake.headers import FileRefused
from fleet.models import Import
from tests import factories
from tests.fleet.bring_in.workbooks import workbook

SECONDS = 1.0
MOST_MEMORY = 60 * MEGABYTE
SHEET = "xl/worksheets/sheet1.xml"
STRINGS = "xl/sharedStrings.xml"
ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY a{n} "{"&a" + str(n - 1 or "") + ";" * 1}">' for n in range(1, 9))
    + "]><worksheet>&a8;</worksheet>"
)


def with_part(name, content, *, repeated=1):
    """Return a workbook one part of which is another, as often as it is said."""
    kept = BytesIO()
    with ZipFile(BytesIO(workbook())) as old, ZipFile(kept, "w", ZIP_DEFLATED) as new:
        for part in old.infolist():
            if part.filename != name:
                new.writestr(part, old.read(part))
        with new.open(name, "w") as opened:
            for _ in range(repeated):
                opened.write(content)
    return kept.getvalue()


@pytest.fixture(scope="module")
def bomb():
    """A sheet of 1 GB in one MB."""
    return with_part(SHEET, b'<row r="1"><c r="A1"><v>1</v></c></row>' * 25_000, repeated=1000)


@pytest.fixture(scope="module")
def strings():
    return with_part(STRINGS, b"<si><t>a</t></si>" * 60_000, repeated=200)


def refused(read):
    """Return the sentence; it has to come within a second and without memory."""
    tracemalloc.start()
    began = process_time()
    try:
        with pytest.raises(FileRefused) as no:
            read()
        seconds, most = process_time() - began, tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert seconds < SECONDS
    assert most < MOST_MEMORY
    return str(no.value)


def at_both_doors(content, tmp_path, words):
    path = tmp_path / "f.xlsx"
    path.write_bytes(content)
    assert words in refused(lambda: open_tables(content, "f.xlsx"))
    assert words in refused(lambda: open_file(path))


def test_a_bomb_is_not_opened(bomb, tmp_path):
    assert len(bomb) < 6 * MEGABYTE
    at_both_doors(bomb, tmp_path, "unpacks to far more")


def test_a_bomb_of_shared_texts_is_not_opened(strings, tmp_path):
    at_both_doors(strings, tmp_path, "unpacks to far more")


def test_a_bomb_whose_sizes_lie_is_damaged(bomb, tmp_path):
    """The directory says 1 KB; what unpacks to more than that breaks off."""
    at = bomb.rindex(b"PK\x01\x02", 0, bomb.rindex(SHEET.encode()))
    lying = bytearray(bomb)
    lying[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    at_both_doors(bytes(lying), tmp_path, "damaged")


@pytest.mark.parametrize("name", [SHEET, "xl/workbook.xml", "[Content_Types].xml"])
def test_entities_are_not_read(name, tmp_path):
    at_both_doors(with_part(name, ENTITIES.encode()), tmp_path, "defines XML entities")


def test_entities_behind_a_long_comment_are_not_read(tmp_path):
    late = ENTITIES.replace("<!DOCTYPE", f"<!--{' ' * 70_000}--><!DOCTYPE").encode()
    content = with_part(SHEET, late)
    with pytest.raises(FileRefused, match="damaged"):
        open_tables(content, "f.xlsx")


def test_sixty_megabytes_are_not_read(tmp_path):
    path = tmp_path / "large.csv"
    with path.open("wb") as file:
        file.seek(60 * MEGABYTE)
        file.write(b"x")
    assert "60 MB; at most 48 MB" in refused(lambda: open_file(path))


def test_a_row_far_to_the_right_is_cut(db):
    cell = b'<sheetData><row r="1"><c r="XFD1"><v>1</v></c></row></sheetData>'
    head = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    content = with_part(SHEET, head + cell + b"</worksheet>")
    assert all(len(cells) <= 200 for table in open_tables(content, "f.xlsx")
               for _, cells in table.rows())  # fmt: skip


def test_formulas_are_values(db):
    content = workbook({"Readings": [["Tag", "Date", "Hours"], ["Q-1", "2026-01-01", "=1+1"]]})
    rows = list(open_tables(content, "f.xlsx")[0].rows())
    assert rows[1][1] == ["Q-1", "2026-01-01"]  # no value was saved with it


@pytest.fixture
def manager(client, db):
    client.force_login(factories.Person(shop__name="Barn"))


def test_the_page_says_so_too(client, manager, bomb):
    page = client.post(reverse("bring-in"), {"file": SimpleUploadedFile("f.xlsx", bomb)})
    assert "unpacks to far more" in page.text


def test_a_huge_upload_is_refused_before_its_form_is_read(client, manager):
    content = SimpleUploadedFile("f.csv", b"x" * (60 * MEGABYTE))
    began = process_time()
    page = client.post(reverse("bring-in"), {"file": content})
    assert process_time() - began < 3 * SECONDS  # the test's own client makes the form meanwhile
    assert page.status_code == 413
    assert "at most 48 MB" in page.text
    assert not Import.objects.exists()


@pytest.mark.parametrize("encoding", ["utf-16", "cp1252", "utf-8-sig"])
@pytest.mark.parametrize("mark", [";", "\t", ",", "|"])
def test_encodings_and_separators(encoding, mark):
    lines = [["Máquina", "Fecha", "Horas"], ["Q-1", "2026-01-01", "12"]]
    text = "\r\n".join(mark.join(cells) for cells in lines)
    rows = list(open_tables(text.encode(encoding), "f.csv")[0].rows())
    assert [cells for _, cells in rows] == lines
