"""A copy of the running site, read back, put back into an empty place, equal row by row."""

import shutil
from zipfile import ZipFile

import pytest
from django.db import connection, transaction

from fleet.back_up import begun_mark
from fleet.back_up import put_back as put_back_module
from fleet.back_up.begun_mark import is_half
from fleet.back_up.folder_beside import folder_beside
from fleet.back_up.make_copy import make_copy, read_back
from fleet.back_up.put_back import put_back
from fleet.back_up.store import CannotCopyError
from fleet.models import Machine, Meter, Reading
from tests import factories
from tests.factories import NOON
from tests.fleet.back_up.places import KEY, empty_place, site_here

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def site(tmp_path):
    """A site with machines, readings, a removed meter, photos and things that are no part of it."""
    if connection.vendor == "postgresql" and not shutil.which("pg_dump"):
        pytest.skip("pg_dump is not there")
    for value in (12.5, 13.25):
        factories.Reading(value=value)
    factories.Booking(customer="Ærø ranch “west”")
    folder = tmp_path / "site"
    for name in ("photos/2026/a.jpg", "queue/bell", "mail/letter", "back_ups/old.zip", "beat.db"):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(name.encode() * 100)
    return site_here(folder)


def test_a_copy_is_put_back_with_every_row_photo_and_key(site, tmp_path):
    copy = tmp_path / "copy.zip"
    made = make_copy(site, copy, NOON)
    assert copy.stat().st_mode & 0o777 == 0o600
    assert (made.files, read_back(site, copy)) == (1, made)
    with empty_place(tmp_path / "new") as place:
        found = put_back(place, copy)
        assert (found.rows, found.tables) == (made.rows, made.tables)
        assert place.store.copy_to(tmp_path / "again") == site.store.copy_to(tmp_path / "once")
        assert (place.folder / "photos/2026/a.jpg").read_bytes() == b"photos/2026/a.jpg" * 100
        assert (place.folder / "secret_key").read_text() == KEY
        assert [path.name for path in place.folder.rglob("*.zip")] == []


def test_it_is_of_one_moment_while_others_write(site, tmp_path):
    """What is not committed when the copy is made is no part of it, and waits for nothing."""
    before = Reading.objects.count()
    with transaction.atomic():
        factories.Reading(meter=Meter.every.first(), value=99)
        make_copy(site, tmp_path / "copy.zip", NOON)
    with empty_place(tmp_path / "new") as place:
        put_back(place, tmp_path / "copy.zip")
        sums = place.store.copy_to(tmp_path / "again")
    assert sums[Reading._meta.db_table].rows == before == Reading.objects.count() - 1


def test_nothing_is_put_back_over_what_is_there(site, tmp_path):
    make_copy(site, tmp_path / "copy.zip", NOON)
    machines = list(Machine.objects.values())
    with pytest.raises(CannotCopyError, match="into an empty place only"):
        put_back(site, tmp_path / "copy.zip")
    assert list(Machine.objects.values()) == machines


def test_nor_over_a_photo(site, tmp_path):
    make_copy(site, tmp_path / "copy.zip", NOON)
    with empty_place(tmp_path / "new") as place:
        photo = place.folder / "photos/2026/a.jpg"
        photo.parent.mkdir(parents=True)
        photo.write_text("another")
        with pytest.raises(CannotCopyError, match=r"photos/2026/a.jpg"):
            put_back(place, tmp_path / "copy.zip")
        assert photo.read_text() == "another"
        assert place.store.is_empty()


class PowerGone(BaseException):
    """The power goes: nothing of ours is asked any more."""


@pytest.mark.parametrize("at", ["files/photos/2026/a.jpg", "secret_key"])
def test_what_was_put_back_by_halves_is_gone_on_with(site, tmp_path, monkeypatch, at):
    made = make_copy(site, tmp_path / "copy.zip", NOON)
    take = put_back_module.take_file

    def cut_off(archive, name, target):
        if name == at:
            raise PowerGone
        take(archive, name, target)

    with empty_place(tmp_path / "new") as place:
        monkeypatch.setattr(put_back_module, "take_file", cut_off)
        with pytest.raises(PowerGone):
            put_back(place, tmp_path / "copy.zip")
        assert is_half(place.folder)
        monkeypatch.undo()
        assert put_back(place, tmp_path / "copy.zip").rows == made.rows
        assert not is_half(place.folder)
        assert (place.folder / "photos/2026/a.jpg").read_bytes() == b"photos/2026/a.jpg" * 100
        assert (place.folder / "secret_key").read_text() == KEY
        with pytest.raises(CannotCopyError, match="into an empty place only"):
            put_back(place, tmp_path / "copy.zip")


def test_another_copy_does_not_go_on_with_it(site, tmp_path):
    make_copy(site, tmp_path / "copy.zip", NOON)
    make_copy(site, tmp_path / "later.zip", NOON.replace(hour=13))
    with empty_place(tmp_path / "new") as place:
        put_back(place, tmp_path / "copy.zip")
        (place.folder / begun_mark.NAME).write_text("of another")
        with pytest.raises(CannotCopyError, match="into an empty place only"):
            put_back(place, tmp_path / "later.zip")


def test_what_a_killed_copy_left_is_taken_away_and_what_works_is_not(site, tmp_path):
    left = tmp_path / ".copying-left"
    left.mkdir()
    (left / "database").write_text("half of it")
    with folder_beside(tmp_path / "copy.zip") as works:
        make_copy(site, tmp_path / "copy.zip", NOON)
        assert works.exists()
    assert [path.name for path in tmp_path.glob(".copying-*")] == []


def damaged(copy, target, spoil):
    """Write a copy again with one of its parts spoiled."""
    with ZipFile(copy) as read, ZipFile(target, "w") as write:
        for info in read.infolist():
            write.writestr(info.filename, spoil(info.filename, read.read(info)))
    return target


@pytest.mark.parametrize(
    ("part", "spoiled", "said"),
    [
        ("files/photos/2026/a.jpg", lambda was: was[:-1] + b"!", "a.jpg in the copy is damaged"),
        ("database", lambda was: was[: len(was) // 2], "cop"),
        ("copy.json", lambda was: b"{", "cannot be read"),
        ("secret_key", lambda was: b"", "The key is missing"),
    ],
    ids=["photo", "database", "list", "key"],
)
def test_a_damaged_copy_is_told_when_it_is_read_back(site, tmp_path, part, spoiled, said):
    make_copy(site, tmp_path / "copy.zip", NOON)
    bad = damaged(
        tmp_path / "copy.zip", tmp_path / "bad.zip",
        lambda name, was: spoiled(was) if name == part else was,
    )  # fmt: skip
    with pytest.raises(CannotCopyError, match=said):
        read_back(site, bad)


def test_a_file_cut_short_is_told(site, tmp_path):
    copy = tmp_path / "copy.zip"
    make_copy(site, copy, NOON)
    copy.write_bytes(copy.read_bytes()[:-200])
    with pytest.raises(CannotCopyError, match="cannot be read"):
        read_back(site, copy)


def test_a_copy_that_names_a_file_outside_writes_nothing(site, tmp_path):
    make_copy(site, tmp_path / "copy.zip", NOON)
    bad = damaged(
        tmp_path / "copy.zip", tmp_path / "bad.zip",
        lambda name, was: was.replace(b"photos/2026/a.jpg", b"../../evil") if name == "copy.json"
        else was,
    )  # fmt: skip
    with empty_place(tmp_path / "new") as place, pytest.raises(CannotCopyError, match="outside"):
        put_back(place, bad)


def test_where_the_copy_cannot_be_written_nothing_is_left(site, tmp_path):
    with pytest.raises(CannotCopyError, match="no folder"):
        make_copy(site, tmp_path / "nowhere" / "copy.zip", NOON)
    with pytest.raises(CannotCopyError, match="is a folder"):
        make_copy(site, tmp_path, NOON)
    assert not list(tmp_path.glob("*.part"))
    assert not list(tmp_path.glob(".copying-*"))
