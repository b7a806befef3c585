"""A shop's own site as a person starts it: an empty database, up in seconds, stopped whole."""

import json
import shutil
import signal

import pytest

from fleet.version import VERSION
from tests.made_tables import made_tables
from tests.served import free_port, get, manage, processes_of, run, start, wait_until_ready

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]


def test_an_empty_site_is_served_and_stopped_with_nothing_left(tmp_path):
    shutil.copyfile(made_tables(), tmp_path / "evener.sqlite3")
    port = free_port()
    site = start("serve", tmp_path, port)
    try:
        wait_until_ready(site, tmp_path)
        assert get(port, "/sign-in/")[0] == 200
        status, said = get(port, "/healthz")
        assert (status, json.loads(said)["version"]) == (200, VERSION)
        said = (tmp_path / "said.txt").read_text()
        assert f"http://127.0.0.1:{port}/" in said
        assert "odile" not in said  # the demo's sign-ins are made in the demo alone
        assert "celery -A fleet worker -B" in " ".join(processes_of(tmp_path).values())
    finally:
        site.send_signal(signal.SIGTERM)
        ended = site.wait(timeout=60)
    assert ended == 0
    assert processes_of(tmp_path) == {}


def test_a_database_that_is_behind_is_not_served(tmp_path):
    refused = manage("serve", tmp_path)
    assert refused.returncode == 2
    assert "behind this program" in refused.stderr
    assert "manage.py migrate" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert processes_of(tmp_path) == {}


def test_nor_does_a_worker_work_on_it(tmp_path):
    refused = run(tmp_path, "-m", "celery", "-A", "fleet", "worker", "-c", "1")
    assert refused.returncode == 1
    assert "No work is done: the database is behind this program" in refused.stderr
