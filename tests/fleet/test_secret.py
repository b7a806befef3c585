"""The site's own key: made once, never read by halves, however many start together."""

import subprocess
import sys

import pytest
from django.conf import settings

from fleet.secret import secret_key

START = """
import sys, time
from pathlib import Path
from fleet.secret import secret_key
path = Path(sys.argv[1])
while not (path.parent / "go").exists():
    pass
print(secret_key(path))
"""


def test_it_is_made_once_for_its_owner_alone(tmp_path):
    path = tmp_path / "secret_key"
    key = secret_key(path)
    assert len(key) >= 50
    assert secret_key(path) == key
    assert path.stat().st_mode & 0o777 == 0o600
    assert [one.name for one in tmp_path.iterdir()] == ["secret_key"]


def test_processes_that_start_together_have_one_key(tmp_path):
    path = tmp_path / "secret_key"
    started = [
        subprocess.Popen(
            [sys.executable, "-c", START, str(path)], cwd=settings.ROOT, stdout=subprocess.PIPE
        )
        for _ in range(4)
    ]
    (tmp_path / "go").touch()
    keys = {one.communicate(timeout=60)[0] for one in started}
    assert [one.returncode for one in started] == [0] * 4
    assert keys == {path.read_bytes() + b"\n"}


def test_an_empty_one_is_told_and_not_replaced(tmp_path):
    path = tmp_path / "secret_key"
    path.touch()
    with pytest.raises(RuntimeError, match="is empty"):
        secret_key(path)
