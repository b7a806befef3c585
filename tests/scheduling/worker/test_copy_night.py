"""The night's copy of the site: once a day, read back, kept for some days."""

from datetime import timedelta
from pathlib import Path

import pytest

from fleet.back_up.store import CannotCopyError
from scheduling.models import KeptCopy, OutboxEntry
from scheduling.worker import copy_night
from scheduling.worker.copy_night import keep_copy, owe_copy
from scheduling.worker.perform import COPY_TRIES, perform_entry
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def folder(settings, tmp_path):
    settings.BACK_UP_FOLDER = str(tmp_path / "copies")
    settings.BACK_UP_DAYS = 3
    factories.Shop()
    return tmp_path / "copies"


@pytest.fixture
def copied(folder, monkeypatch):
    """Stand in for making a copy, which tests/fleet/back_up tries on real databases."""
    made = copy_night.read_back.__globals__["MadeCopy"](tables=3, rows=12, files=1, size=345)
    monkeypatch.setattr(copy_night, "make_copy", lambda site, target, now: target.write_text("."))
    monkeypatch.setattr(copy_night, "read_back", lambda site, target: made)
    return folder


def test_one_is_owed_a_night(folder):
    assert owe_copy(NOON)
    assert not owe_copy(NOON + timedelta(hours=3))
    assert owe_copy(NOON + DAY)
    keys = OutboxEntry.objects.order_by("pk").values_list("key", flat=True)
    assert list(keys) == ["copy:2026-03-02", "copy:2026-03-03"]


def test_none_is_owed_where_none_is_wanted(folder, settings):
    settings.BACK_UP_DAYS = 0
    assert not owe_copy(NOON)


def test_it_is_read_back_and_kept_for_some_days_the_last_good_one_for_good(copied):
    for n in range(6):
        assert keep_copy(NOON + n * DAY) == ""
    assert sorted(path.name[12:20] for path in copied.iterdir()) == [
        "03-04.zi", "03-05.zi", "03-06.zi", "03-07.zi",
    ]  # fmt: skip
    last = KeptCopy.objects.first()
    assert (last.rows, last.files, last.size, last.read_back_at) == (12, 1, 345, NOON + 5 * DAY)
    KeptCopy.objects.exclude(pk=last.pk).delete()
    copy_night.let_go(NOON + 90 * DAY)
    assert Path(last.file).exists()


def test_one_that_cannot_be_made_is_said_tried_again_and_then_left_for_tomorrow(
    copied, monkeypatch
):
    def refuse(site, target, now):
        raise CannotCopyError("There is no room left on the disk.")

    monkeypatch.setattr(copy_night, "make_copy", refuse)
    owe_copy(NOON)
    entry = OutboxEntry.objects.get()
    now = NOON
    for _ in range(COPY_TRIES):
        perform_entry(entry.pk, now)
        entry.refresh_from_db()
        now = entry.due_at
    assert entry.failed_at is not None
    assert KeptCopy.objects.get().error == "There is no room left on the disk."
