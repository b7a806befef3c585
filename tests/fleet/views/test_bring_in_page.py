"""The page Bring in: a file is looked at, brought in by one press, given back, undone."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import load_workbook

from fleet.bring_in import owed_imports
from fleet.models import Import, ImportFile, Machine, Role, ServiceRecord, ToComplete
from scheduling.models import OutboxEntry
from scheduling.worker.perform import perform_entry
from tests import factories
from tests.factories import NOON
from tests.fleet.bring_in.workbooks import FLEET, row_counts, workbook

PAGE = reverse("bring-in")


@pytest.fixture
def manager(client, db):
    person = factories.Person(role=Role.OWNER, shop__name="Barn")
    client.force_login(person)
    return person


def send(client, content, name="fleet.xlsx"):
    return client.post(PAGE, {"file": SimpleUploadedFile(name, content)}, follow=True)


def press(client, kept, name, **fields):
    return client.post(reverse(f"bring-in-{name}", args=[kept.pk]), fields, follow=True)


def test_a_look_writes_nothing_and_one_press_brings_it_in(client, manager):
    before = row_counts()
    page = send(client, workbook())
    assert "would come in" in page.text
    assert "Nothing is written yet" in page.text
    assert "Named in the file and not here yet" in page.text
    assert row_counts() == before
    page = press(client, Import.objects.get(), "come", act="come", make_missing="yes")
    assert "24 rows came in" in page.text
    assert Machine.objects.count() == 3
    assert not ImportFile.objects.exists()


def test_it_is_undone_by_one_press(client, manager):
    before = row_counts()
    send(client, workbook())
    kept = Import.objects.get()
    press(client, kept, "come", act="come", make_missing="yes")
    page = press(client, kept, "undo")
    assert "nothing of it is left" in page.text
    assert row_counts() == before


def test_taking_the_tick_away_shows_what_would_come_then(client, manager):
    send(client, workbook())
    kept = Import.objects.get()
    page = press(client, kept, "come", act="come")
    assert "You changed something" in page.text
    assert not Machine.objects.exists()
    kept.refresh_from_db()
    assert not kept.make_missing


def test_columns_and_sheets_are_matched_by_hand(client, manager):
    rows = [["Nr X", "Yk", "Make", "Model", "Class"], ["Q-1", "North", "Tarnbeck", "T2", "Quad"]]
    page = send(client, workbook({"List": rows}))
    assert "List: make-ups" in page.text  # maker, model and class alone are known
    kept = Import.objects.get()
    press(client, kept, "come", act="look", make_missing="yes", **{"kind-0": "machines"})
    fields = {"kind-0": "machines", "column-0-0": "tag", "column-0-1": "yard", "act": "look"}
    page = press(client, kept, "come", make_missing="yes", **fields)
    assert "1 row would come in" in page.text
    press(client, kept, "come", make_missing="yes", **(fields | {"act": "come"}))
    assert Machine.objects.get().yard.name == "North"


def test_a_sheet_is_left_out_by_hand(client, manager):
    send(client, workbook())
    kept = Import.objects.get()
    fields = {"kind-2": "out", "make_missing": "yes"}
    press(client, kept, "come", act="look", **fields)
    press(client, kept, "come", act="come", **fields)
    assert Machine.objects.exists()
    assert not ServiceRecord.objects.exists()


def test_the_order_of_day_and_month_is_asked_for(client, manager):
    rows = [["Tag", "Out", "Back", "Customer"], ["Q-1", "3/4/2027", "3/5/2027", "Hill Farm"]]
    machine = factories.Meter(machine__tag="Q-1").machine
    page = send(client, workbook({"Rentals": rows}))
    assert "can be read both ways" in page.text
    kept = Import.objects.get()
    fields = {"order-0": "day", "make_missing": "yes"}
    press(client, kept, "come", act="look", **fields)
    press(client, kept, "come", act="come", **fields)
    assert machine.bookings.get().first_day.isoformat() == "2027-04-03"


def test_refused_rows_come_back_as_a_file_that_is_mended_and_brought_in(client, manager):
    send(
        client,
        workbook({"Fleet": [*FLEET, ["MX-09", "", "", "", "", "North", "", "", "", "", ""]]}),
    )
    kept = Import.objects.get()
    press(client, kept, "come", act="come", make_missing="yes")
    answer = client.get(reverse("bring-in-refused", args=[kept.pk]))
    rows = list(load_workbook(BytesIO(answer.content)).active.iter_rows(values_only=True))
    assert rows[0][0] == "Unit #"
    assert rows[0][-1] == "Why it was refused"
    assert rows[1][0] == "MX-09"
    assert "No make-up is given" in rows[1][-1]
    mended = [list(rows[0]), [*rows[1][:1], "Tarnbeck", "T20", "Quad", *rows[1][4:]]]
    page = send(client, workbook({"Fleet": mended}))
    assert "1 row would come in" in page.text


def test_what_was_made_is_told_by_set_up_until_it_is_complete(client, manager):
    send(client, workbook())
    kept = Import.objects.get()
    press(client, kept, "come", act="come", make_missing="yes")
    assert "Made with a file and to be completed: North" in client.get(reverse("set-up")).text
    press(client, kept, "complete")
    assert not ToComplete.objects.filter(settled_at=None).exists()
    assert "Made with a file" not in client.get(reverse("set-up")).text


def test_a_large_file_is_read_by_the_worker(client, manager, monkeypatch):
    monkeypatch.setattr(owed_imports, "AT_ONCE", 100)
    page = send(client, workbook())
    assert "being looked at" in page.text
    work()
    kept = Import.objects.get()
    assert "would come in" in client.get(reverse("bring-in-file", args=[kept.pk])).text
    page = press(client, kept, "come", act="come", make_missing="yes")
    assert "coming in" in page.text
    part = client.get(reverse("bring-in-file", args=[kept.pk]), headers={"HX-Request": "true"})
    assert "hx-trigger" in part.text
    work()
    assert Machine.objects.count() == 3
    part = client.get(reverse("bring-in-file", args=[kept.pk]), headers={"HX-Request": "true"})
    assert "HX-Redirect" in part.headers


def test_a_large_import_is_undone_by_the_worker_with_its_progress(client, manager, monkeypatch):
    before = row_counts()
    send(client, workbook())
    kept = Import.objects.get()
    press(client, kept, "come", act="come", make_missing="yes")
    monkeypatch.setattr(owed_imports, "UNDONE_AT_ONCE", 3)
    page = press(client, kept, "undo")
    assert "The file is being undone." in page.text
    assert Machine.objects.count() == 3
    part = client.get(reverse("bring-in-file", args=[kept.pk]), headers={"HX-Request": "true"})
    assert "hx-trigger" in part.text
    work()
    page = client.get(reverse("bring-in-file", args=[kept.pk]))
    assert "This file was undone: nothing of it is left." in page.text
    assert row_counts() == before
    kept.refresh_from_db()
    assert (kept.undone_by, kept.rows_done) == (manager, kept.rows_in_all)


def test_what_stands_in_its_way_is_said_by_the_worker_on_the_page(client, manager, monkeypatch):
    send(client, workbook())
    kept = Import.objects.get()
    press(client, kept, "come", act="come", make_missing="yes")
    factories.Booking(machine=Machine.objects.get(tag="MX-02"), customer="Hill Farm")
    monkeypatch.setattr(owed_imports, "UNDONE_AT_ONCE", 3)
    before = row_counts()
    press(client, kept, "undo")
    work()
    page = client.get(reverse("bring-in-file", args=[kept.pk]))
    assert "booking MX-02: Hill Farm" in page.text
    assert row_counts() == before


def work():
    for entry in OutboxEntry.objects.filter(done_at=None, kind=OutboxEntry.Kind.IMPORT):
        OutboxEntry.objects.filter(pk=entry.pk).update(due_at=NOON)
        assert perform_entry(entry.pk, entry.made_at)


def test_the_sample_comes_in_as_it_is(client, manager):
    factories.Meter(machine__tag="Q-1", machine__yard__name="North")
    answer = client.get(reverse("bring-in-sample"))
    book = load_workbook(BytesIO(answer.content))
    assert "North" in [cell.value for cell in book["Names here"]["A"]]
    send(client, answer.content)
    sheets = Import.objects.get().sheets
    kinds = [sheet["kind"] for sheet in sheets]
    assert kinds == ["make_ups", "machines", "people", "parts", "intervals", "services",
                     "bookings", "readings", None]  # fmt: skip
    assert sum(sheet["refused"] for sheet in sheets) == 0


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"PK\x03\x04 no workbook", "damaged"),
        (b"a\x00b,c\n", "neither text nor XLSX"),
        (b"\n\n ,\n", "no row in which something is written"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(client, manager, content, words):
    assert words in send(client, content).text


def test_no_file_gets_a_sentence(client, manager):
    assert "Choose a file first" in client.post(PAGE).text


def test_a_file_that_is_left_out_is_gone(client, manager):
    send(client, workbook())
    press(client, Import.objects.get(), "leave")
    assert not ImportFile.objects.exists()
    assert "fleet.xlsx" not in client.get(PAGE).text


def test_managers_alone(client, db):
    client.force_login(factories.Person(role=Role.DESK))
    assert client.get(PAGE).status_code == 403
    assert client.post(PAGE).status_code == 403
    assert client.get(reverse("bring-in-sample")).status_code == 403


def test_a_form_of_another_site_is_refused(manager):
    from django.test import Client  # noqa: PLC0415  only this test has another

    strict = Client(enforce_csrf_checks=True)
    strict.force_login(manager)
    assert strict.post(PAGE, {"file": SimpleUploadedFile("f.csv", b"a,b")}).status_code == 403
    assert not Import.objects.exists()
