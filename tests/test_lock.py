"""The lock file, the service files and the audit say what the program and its README do."""

import re
import shutil
import subprocess
import sys
import tomllib

import pytest
from packaging.requirements import Requirement

from tests.parsed_code import ROOT

LOCK = (ROOT / ".ci/requirements.lock").read_text()
SERVICE = ROOT / "fixtures/service"


def pins(text):
    lines = re.findall(r"^[a-z][^\\\n]*", text, re.M)
    return {(one.name, str(one.marker)): str(one.specifier) for one in map(Requirement, lines)}


def test_every_pin_is_that_of_the_constraints_and_has_its_hashes():
    constraints = pins((ROOT / ".ci/constraints.txt").read_text())
    versions = {(name, spec) for (name, _), spec in constraints.items()}
    assert {(name, spec) for (name, _), spec in pins(LOCK).items()} <= versions
    for one in re.split(r"\n(?=[a-z])", LOCK.strip()):
        assert "--hash=sha256:" in one, one


def test_it_holds_all_that_the_program_and_its_tests_need_within_their_bounds():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    wanted = project["dependencies"] + project["optional-dependencies"]["test"]
    locked = {name: spec.removeprefix("==") for (name, _), spec in pins(LOCK).items()}
    for one in map(Requirement, wanted):
        assert one.specifier.contains(locked[one.name]), one


def test_it_names_no_address():
    assert "://" not in LOCK
    assert "index" not in LOCK


def test_the_unit_calls_commands_that_there_are():
    unit = (SERVICE / "evener.service").read_text()
    for command in re.findall(r"manage\.py (\w+)", unit):
        assert command in {"migrate", "serve"}
    if not shutil.which("systemd-analyze"):
        pytest.skip("systemd-analyze is not there")
    ran = subprocess.run(
        ["systemd-analyze", "verify", str(SERVICE / "evener.service")],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    faults = [line for line in ran.stderr.splitlines() if "evener.service" in line]
    assert [line for line in faults if "not executable" not in line and "User" not in line] == []


def test_the_compose_file_runs_one_schedule_and_names_settings_that_there_are():
    text = (SERVICE / "compose.yaml").read_text()
    settings = (ROOT / "fleet/settings.py").read_text()
    ours = re.search(r"environment: &environment\n(.*?)  volumes:", text, re.S)
    assert ours
    for name in re.findall(r"^    (\w+):", ours[1], re.M):
        assert f'"{name}"' in settings, name
    assert text.count("celery -A fleet beat") == 1
    assert "COPY . ." in (SERVICE / "Dockerfile").read_text()


def test_the_audit_tells_what_differs_from_the_lock(tmp_path):
    """A lock that asks for another version than is installed: the audit fails and names it."""
    for name in ("audit", "requirements.lock"):
        shutil.copy(ROOT / ".ci" / name, tmp_path / name)
    lock = tmp_path / "requirements.lock"
    lock.write_text(LOCK.replace("django==", "django==0.0.", 1))
    ran = subprocess.run(
        [sys.executable, str(tmp_path / "audit"), str(tmp_path / "env")],
        capture_output=True, text=True, check=False, timeout=200,
    )  # fmt: skip
    assert ran.returncode == 1
    assert re.search(r"django is \S+ here and 0\.0\.\S+ in the lock", ran.stdout)
