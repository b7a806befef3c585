"""Children are kept alive, given up when hopeless, and stopped with all that they started."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from scheduling.serving import supervisor
from scheduling.serving.supervisor import Child, Supervisor
from tests.served import processes_of

SLEEP = [sys.executable, "-c", "import time; time.sleep(60)"]
DIE = [sys.executable, "-c", "raise SystemExit(3)"]
DEAF = [
    sys.executable,
    "-c",
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); time.sleep(60)",
]
PARENT = [
    sys.executable,
    "-c",
    "import subprocess, sys, time\n"
    "child = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(60)'])\n"
    "print(child.pid, flush=True); time.sleep(60)",
]


@pytest.fixture
def held(tmp_path):
    """Make a supervisor; whatever it started is gone after the test, and so are its signals."""
    made = []
    before = {number: signal.getsignal(number) for number in supervisor.STOP_SIGNALS}

    def make(*commands):
        told = []
        children = [Child(f"child {n}", c, tmp_path / f"{n}.log") for n, c in enumerate(commands)]
        made.append(Supervisor(children, os.environ, told.append))
        made[-1].told = told
        made[-1].start()
        return made[-1]

    yield make
    for one in made:
        one.stop()
    for number, handler in before.items():
        signal.signal(number, handler)


def alive(pid):
    """Whether a process runs; one that has ended and waits to be buried does not (Linux)."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().split()[2] != "Z"
    except OSError:
        return False


def wait_for(true, seconds=10):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.05)
    return False


def test_a_child_that_dies_is_started_again(held):
    one = held(SLEEP)
    first = one.children[0].process.pid
    os.kill(first, signal.SIGKILL)
    assert wait_for(lambda: not one.children[0].alive)
    assert one.look()
    assert one.children[0].alive
    assert one.children[0].process.pid != first
    assert "stopped and is being started again" in one.told[0]


def test_a_child_that_keeps_dying_is_given_up(held):
    one = held(DIE)
    assert one.watch() is False
    assert len(one.children[0].started) == supervisor.RESTARTS + 1
    assert "keeps dying" in one.told[-1]


def test_for_good_a_child_that_keeps_dying_is_let_rest_and_tried_again(held, monkeypatch):
    monkeypatch.setattr(supervisor, "REST", 0.5)
    one = held(DIE)
    one.for_good = True
    first = time.monotonic()
    while time.monotonic() - first < 4:
        assert one.look()
        time.sleep(0.05)
    assert "keeps dying; it is tried again every" in one.told[-1]
    assert len([said for said in one.told if "keeps dying" in said]) == 1
    one.children[0].command = SLEEP
    assert wait_for(lambda: one.look() and one.children[0].alive)


KILLED = """
import os, sys
from pathlib import Path
from scheduling.serving.supervisor import Child, Supervisor
from tests.served import processes_of
one = Supervisor([Child("child", sys.argv[2:], Path(sys.argv[1]))], os.environ, print)
one.start()
print("started", flush=True)
one.watch()
"""


@pytest.mark.parametrize("command", [PARENT, DEAF], ids=["with a grandchild", "deaf"])
def test_a_supervisor_killed_with_9_leaves_no_orphans(tmp_path, command):
    log = tmp_path / "child.log"
    env = os.environ | {"EVENER_MARK": str(tmp_path)}
    killed = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(log), *command], env=env, stdout=subprocess.PIPE
    )
    assert killed.stdout
    killed.stdout.readline()
    time.sleep(1)
    assert len(processes_of(tmp_path)) >= 3  # the supervisor, its warden, the child
    killed.kill()
    killed.wait()
    killed.stdout.close()
    assert wait_for(lambda: not processes_of(tmp_path), seconds=20), processes_of(tmp_path)


def test_a_warden_that_is_killed_is_started_again(held):
    one = held(SLEEP)
    one._warden._process.kill()
    one._warden._process.wait()
    one._warden._process.stdin.close()
    assert one.look()
    assert one._warden.lives


def test_stopping_ends_children_and_what_they_started(held, tmp_path):
    one = held(PARENT, SLEEP)
    log = tmp_path / "0.log"
    assert wait_for(lambda: log.exists() and log.read_text().strip().isdigit())
    grandchild = int(log.read_text())
    one.stop()
    assert not any(child.alive for child in one.children)
    assert wait_for(lambda: not alive(grandchild))


def test_a_child_that_does_not_listen_is_ended_by_force(held, monkeypatch):
    monkeypatch.setattr(supervisor, "PATIENCE", 0.5)
    one = held(DEAF)
    time.sleep(0.5)
    began = time.monotonic()
    one.stop()
    assert not one.children[0].alive
    assert time.monotonic() - began < 5


@pytest.mark.parametrize("number", supervisor.STOP_SIGNALS, ids=lambda n: n.name)
def test_a_signal_ends_the_watch(held, number):
    one = held(SLEEP)
    os.kill(os.getpid(), number)
    assert one.watch() is True
    assert one.stopping


def test_stopping_twice_does_no_harm(held):
    one = held(SLEEP)
    one.stop()
    one.stop()
    assert not one.children[0].alive
