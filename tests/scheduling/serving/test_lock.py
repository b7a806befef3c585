import subprocess
import sys
import time

import pytest

from scheduling.serving.lock import DemoRunsError, hold_lock

FIRST = """
import subprocess, sys
from pathlib import Path
from scheduling.serving.lock import hold_lock
with hold_lock(Path(sys.argv[1]), "http://127.0.0.1:8001") as lock:
    child = subprocess.Popen(
        [sys.executable, "-c", f"import time; time.sleep({sys.argv[2]})"], pass_fds=[lock]
    )
    print(child.pid, flush=True)
    child.wait()
"""


def test_a_second_site_in_the_folder_is_refused_at_once_and_told_where_the_first_is(tmp_path):
    began = time.monotonic()
    with (
        hold_lock(tmp_path, "http://127.0.0.1:8001"),
        pytest.raises(DemoRunsError, match="8001"),
        hold_lock(tmp_path, "http://127.0.0.1:8002", patience=60),
    ):
        pytest.fail("two sites in one folder")
    assert time.monotonic() - began < 5


def test_the_lock_is_free_again_afterwards(tmp_path):
    with hold_lock(tmp_path, "http://127.0.0.1:8001"):
        pass
    with hold_lock(tmp_path, "http://127.0.0.1:8002"):
        assert (tmp_path / "demo.lock").read_text().startswith("http://127.0.0.1:8002\n")


def test_two_folders_do_not_mind_each_other(tmp_path):
    (tmp_path / "other").mkdir()
    with hold_lock(tmp_path, "a"), hold_lock(tmp_path / "other", "b"):
        assert (tmp_path / "demo.lock").read_text().startswith("a")


@pytest.mark.parametrize(("lives_on", "patience"), [(60, 0.5), (1.5, 30)])
def test_what_a_killed_site_left_behind_still_holds_it(tmp_path, lives_on, patience):
    """The first is killed with -9 and its child lives on: a second waits for it, or is refused."""
    first = subprocess.Popen(
        [sys.executable, "-c", FIRST, str(tmp_path), str(lives_on)], stdout=subprocess.PIPE
    )
    assert first.stdout
    child = int(first.stdout.readline())
    first.kill()
    first.wait()
    first.stdout.close()
    try:
        if lives_on > patience:
            with pytest.raises(DemoRunsError, match="was killed"):  # noqa: SIM117
                with hold_lock(tmp_path, "b", patience=patience):
                    pytest.fail("it runs beside what is left of the first")
        else:
            with hold_lock(tmp_path, "b", patience=patience):
                assert (tmp_path / "demo.lock").read_text().startswith("b")
    finally:
        subprocess.run(["kill", "-9", str(child)], check=False, stderr=subprocess.DEVNULL)
