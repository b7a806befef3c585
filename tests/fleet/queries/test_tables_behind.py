"""Whether the tables are as the program wants them."""

import pytest
from django.db.migrations.recorder import MigrationRecorder

from fleet.back_up.begun_mark import begun
from fleet.queries.tables_behind import changes_to_come, say_behind

pytestmark = pytest.mark.django_db


def test_a_migrated_database_is_not_behind():
    assert changes_to_come() == []
    assert say_behind() == ""


def test_what_has_not_run_is_named_and_counted():
    MigrationRecorder.Migration.objects.filter(name="0010_key_acts").delete()
    assert changes_to_come() == ["fleet.0010_key_acts"]
    assert say_behind() == (
        "the database is behind this program by 1 change of its tables; run `manage.py migrate`"
    )


def test_a_site_put_back_by_halves_is_not_served(settings, tmp_path):
    settings.DATA = tmp_path
    with begun(tmp_path, "a copy"):
        assert say_behind() == (
            "the site is put back by halves; run `manage.py restore` with the same copy again"
        )
    assert say_behind() == ""


def test_it_takes_one_query(django_assert_max_num_queries):
    with django_assert_max_num_queries(2):  # the first asks whether the list of them is there
        changes_to_come()
