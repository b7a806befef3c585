"""The demo as a person starts it: one command, in a folder of its own, stopped by a signal."""

import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.served import ROOT, environment, free_port, get, processes_of, start, wait_until_ready

pytestmark = [pytest.mark.slow, pytest.mark.timeout(600)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("evener-demo")


@pytest.fixture(scope="module")
def running(folder):
    port = free_port()
    demo = start("demo", folder, port)
    try:
        wait_until_ready(demo, folder)
        yield demo, port
    finally:
        if demo.poll() is None:
            demo.send_signal(signal.SIGTERM)
            demo.wait(timeout=60)


def query(folder, sql):
    with sqlite3.connect(folder / "evener.sqlite3", timeout=30) as database:
        return database.execute(sql).fetchall()


def test_it_prints_the_address_and_three_sign_ins(running, folder):
    said = (folder / "said.txt").read_text()
    assert f"http://127.0.0.1:{running[1]}/" in said
    assert re.search(r"Fleet manager +odile +\S+", said)
    assert re.search(r"Rental desk +wes +\S+", said)
    assert re.search(r"Mechanic +ingrid +\S+", said)
    assert "[6/6]" in said


def test_the_site_answers_and_shows_no_debug_page(running):
    assert get(running[1], "/sign-in/")[0] == 200
    status, page = get(running[1], "/no-such-page/")
    assert status in (404, 302) or "sign-in" in page
    assert "DEBUG = True" not in page


def test_the_site_reports_itself_healthy(running):
    status, answer = get(running[1], "/healthz")
    assert (status, json.loads(answer)["state"]) == (200, "up")


def test_machines_have_a_state_and_some_are_overdue(running, folder):
    states = dict(query(folder, "select state, count(*) from scheduling_machinestate group by 1"))
    assert sum(states.values()) == 98
    assert states["overdue"] >= 3
    assert states["held"] == 1


def test_notices_carry_the_address_that_is_served(running, folder):
    texts = [text for (text,) in query(folder, "select text from scheduling_notice")]
    assert texts
    assert any(f"http://127.0.0.1:{running[1]}/" in text for text in texts)
    assert not any("127.0.0.1:8000" in text for text in texts if running[1] != 8000)


def test_worker_and_schedule_run_beside_the_web_server(running, folder):
    commands = " ".join(processes_of(folder).values())
    assert "gunicorn fleet.wsgi:application" in commands
    assert "celery -A fleet worker -B" in commands


def test_it_listens_on_this_machine_alone(running):
    # Linux: local address and state are the second and fourth column; 0A is listening.
    rows = [
        line.split()
        for table in ("tcp", "tcp6")
        for line in Path(f"/proc/net/{table}").read_text().splitlines()[1:]
    ]
    listening = {
        row[1].split(":")[0]
        for row in rows
        if row[3] == "0A" and int(row[1].split(":")[1], 16) == running[1]
    }
    assert listening == {"0100007F"}


def test_a_second_demo_in_the_same_folder_is_refused(running, folder):
    second = subprocess.run(
        [sys.executable, "manage.py", "demo"],
        cwd=ROOT,
        env=environment(folder),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert second.returncode == 2
    assert f"at http://127.0.0.1:{running[1]}" in second.stderr
    assert "Traceback" not in second.stderr


def test_a_web_server_that_dies_is_started_again(running, folder):
    web = [pid for pid, command in processes_of(folder).items() if "gunicorn" in command]
    os.kill(min(web), signal.SIGKILL)
    time.sleep(1)
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            if get(running[1], "/sign-in/")[0] == 200:
                break
        except OSError:
            time.sleep(0.2)
    assert get(running[1], "/sign-in/")[0] == 200
    assert "started again" in (folder / "said.txt").read_text()


def test_a_signal_stops_all_of_it_and_the_next_start_is_quick(running, folder):
    demo, port = running
    began = time.monotonic()
    demo.send_signal(signal.SIGINT)
    assert demo.wait(timeout=30) == 0
    assert time.monotonic() - began < 15
    assert processes_of(folder) == {}
    (folder / "said.txt").write_text("")
    again = start("demo", folder, port)
    wait_until_ready(again, folder)
    assert "here already" in (folder / "said.txt").read_text()
    again.send_signal(signal.SIGTERM)
    assert again.wait(timeout=30) == 0
    assert processes_of(folder) == {}


def refuse(folder, *args, **more):
    return subprocess.run(
        [sys.executable, "manage.py", "demo", *args],
        cwd=ROOT,
        env=environment(folder, **more),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.mark.parametrize("name", ["DATABASE_URL", "REDIS_URL"])
def test_it_does_not_touch_a_database_or_queue_of_ones_own(tmp_path, name):
    value = f"sqlite:///{tmp_path / 'mine.sqlite3'}" if name == "DATABASE_URL" else "redis://x"
    refused = refuse(tmp_path, **{name: value})
    assert refused.returncode == 2
    assert f"unset {name}" in refused.stderr
    assert not (tmp_path / "mine.sqlite3").exists()


def test_a_taken_port_is_refused_with_a_sentence(tmp_path):
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        port = holder.getsockname()[1]
        refused = refuse(tmp_path, "--port", str(port))
    assert refused.returncode == 2
    assert f"Port {port} is taken" in refused.stderr
    assert "Traceback" not in refused.stderr
