"""What of a site's folder belongs into a copy."""

from unittest.mock import Mock

from fleet.back_up.site_place import SitePlace
from fleet.back_up.store import Store


def test_photos_belong_to_it_and_no_file_of_a_database_by_whatever_name(tmp_path):
    (tmp_path / "photos").mkdir()
    for name in ("photos/1.jpg", "evener.sqlite3", "evener.sqlite3-wal", "test.sqlite3_gw1-shm",
                 "demo.lock", "half.part"):  # fmt: skip
        (tmp_path / name).touch()
    place = SitePlace(Mock(spec=Store), tmp_path, "key")
    assert place.files() == [tmp_path / "photos" / "1.jpg"]
