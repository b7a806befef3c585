"""A shop's own site as a person starts it: an empty database, up in seconds, stopped whole."""

import signal

import pytest

from tests.served import free_port, get, processes_of, start, wait_until_ready

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]


def test_an_empty_site_is_served_and_stopped_with_nothing_left(tmp_path):
    port = free_port()
    site = start("serve", tmp_path, port)
    try:
        wait_until_ready(site, tmp_path)
        assert get(port, "/sign-in/")[0] == 200
        assert get(port, "/healthz")[0] == 200
        said = (tmp_path / "said.txt").read_text()
        assert f"http://127.0.0.1:{port}/" in said
        assert "odile" not in said  # the demo's sign-ins are made in the demo alone
        assert "celery -A fleet worker -B" in " ".join(processes_of(tmp_path).values())
    finally:
        site.send_signal(signal.SIGTERM)
        ended = site.wait(timeout=60)
    assert ended == 0
    assert processes_of(tmp_path) == {}
