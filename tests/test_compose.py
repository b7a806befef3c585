"""The compose file by the words of the Compose Specification, and the commands that it runs.

Names are those of the specification's files "Services top-level element" and "Volumes top-level
element" (compose-spec/compose-spec, 05-services.md and 07-volumes.md), from memory.
"""

import re
import shlex
import subprocess
import sys

import pytest
import yaml

from fleet.celery import app
from tests.parsed_code import ROOT

FILE = ROOT / "fixtures/service/compose.yaml"
WORDS = {
    "build", "restart", "environment", "volumes", "depends_on", "command", "ports", "image",
    "healthcheck",
}  # fmt: skip
"""Those of a service that ours use; any other is mistyped or is to be looked up first."""
CONDITIONS = {"service_started", "service_healthy", "service_completed_successfully"}
SAID = {"POSTGRES_PASSWORD", "SECRET_KEY", "EMAIL_URL", "BASE_URL", "METRICS_KEY", "PROXY_HOPS"}
OURS = ("tables", "web", "worker", "schedule")


@pytest.fixture(scope="module")
def file():
    return yaml.safe_load(FILE.read_text())


def test_each_service_says_what_the_specification_knows(file):
    assert {name for name in file if not name.startswith("x-")} == {"services", "volumes"}
    for name, service in file["services"].items():
        assert set(service) <= WORDS, name
        assert ("image" in service) != ("build" in service), name
        assert service["restart"] in {"always", "no"}, name


def test_what_a_service_waits_for_is_there_and_can_say_that_it_is_well(file):
    services = file["services"]
    for name, service in services.items():
        for other, how in service.get("depends_on", {}).items():
            assert how["condition"] in CONDITIONS, name
            if how["condition"] == "service_healthy":
                assert services[other]["healthcheck"]["test"], other
            if how["condition"] == "service_completed_successfully":
                assert services[other]["restart"] == "no", other
    assert "tables" not in services["tables"]["depends_on"]
    assert all("tables" in services[name]["depends_on"] for name in OURS[1:])


def test_what_is_kept_is_kept_in_volumes_that_are_declared(file):
    for name, service in file["services"].items():
        for volume in service.get("volumes", []):
            source, target = volume.split(":")
            assert source in file["volumes"], name
            assert target.startswith("/"), name
    assert file["services"]["web"]["volumes"] == ["evener:/srv/evener"]
    assert "ENV EVENER_DATA=/srv/evener" in (FILE.parent / "Dockerfile").read_text()


def test_addresses_name_services_and_words_are_those_of_the_head(file):
    environment = file["services"]["web"]["environment"]
    hosts = re.findall(r"(?:@|redis://)(\w+)[:/]", " ".join(environment.values()))
    assert hosts == ["database", "queue"]
    assert set(re.findall(r"\$\{(\w+)", FILE.read_text())) == SAID
    assert file["services"]["web"]["ports"] == ["127.0.0.1:8000:8000"]  # TLS ends in front of it


@pytest.mark.parametrize("name", ["worker", "schedule"])
def test_the_worker_and_the_schedule_are_commands_that_celery_knows(file, name):
    words = shlex.split(file["services"][name]["command"])
    assert words[:3] == ["celery", "-A", "fleet"]
    command = next(one for one in words if one in {"worker", "beat"})
    asked = subprocess.run(
        [sys.executable, "-m", "celery", "-A", "fleet", command, "--help"],
        capture_output=True, text=True, check=True, cwd=ROOT,
    )  # fmt: skip
    for option in words[words.index(command) + 1 :]:
        assert not option.startswith("-") or option in asked.stdout, option


def test_the_schedule_writes_where_data_is_kept_and_not_into_the_program(settings):
    """The image's program belongs to root, who does not run it."""
    assert app.conf.beat_schedule_filename == str(settings.DATA / "beat")
