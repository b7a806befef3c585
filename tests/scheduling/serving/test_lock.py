import pytest

from scheduling.serving.lock import DemoRunsError, hold_lock


def test_a_second_demo_in_the_folder_is_refused_and_told_where_the_first_is(tmp_path):
    with (
        hold_lock(tmp_path, "http://127.0.0.1:8001"),
        pytest.raises(DemoRunsError, match="8001"),
        hold_lock(tmp_path, "http://127.0.0.1:8002"),
    ):
        pytest.fail("two demos in one folder")


def test_the_lock_is_free_again_afterwards(tmp_path):
    with hold_lock(tmp_path, "http://127.0.0.1:8001"):
        pass
    with hold_lock(tmp_path, "http://127.0.0.1:8002"):
        assert (tmp_path / "demo.lock").read_text() == "http://127.0.0.1:8002"


def test_two_folders_do_not_mind_each_other(tmp_path):
    (tmp_path / "other").mkdir()
    with hold_lock(tmp_path, "a"), hold_lock(tmp_path / "other", "b"):
        assert (tmp_path / "demo.lock").read_text() == "a"
