"""The command that takes a file of readings in."""

import subprocess
import sys
from datetime import UTC, datetime

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from fleet.models import Reading
from tests import factories


@pytest.fixture
def file(tmp_path, db):
    factories.Meter(machine__tag="Q-12", machine__yard__name="Barn")
    path = tmp_path / "march.csv"
    path.write_text(
        "machine,read at,value\nQ-12,2026-03-02 08:00,412.5\nQ-12,2026-03-03 08:00,214\n"
        "Q-99,2026-03-02 08:00,1\n"
    )
    return path


def run(capsys, *args):
    call_command("import_readings", *map(str, args))
    return capsys.readouterr().out.splitlines()


def test_it_names_each_refused_row_and_counts_the_rest(file, capsys):
    lines = run(capsys, file)
    assert lines[0].startswith("line 3: Q-12 showed 412.5 h on Mon 2 Mar")
    assert lines[1].startswith("line 4: No machine has the tag “Q-99”")
    assert lines[2] == "1 new, 0 already there, 2 to mend."


def test_twice_adds_nothing(file, capsys):
    run(capsys, file)
    assert run(capsys, file)[-1] == "0 new, 1 already there, 2 kept to mend before."


def test_a_dry_run_writes_nothing(file, capsys):
    assert run(capsys, file, "--dry-run")[-1].endswith("Nothing was written: a dry run.")
    assert not Reading.objects.exists()


def test_who_read_and_which_yard(file, capsys):
    person = factories.Person(username="ada")
    run(capsys, file, "--by", "ada", "--yard", "barn")
    assert Reading.objects.get().read_by == person
    assert Reading.objects.get().read_at == datetime(2026, 3, 2, 8, tzinfo=UTC)


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (["gone.csv"], "There is no file"),
        (["."], "is a folder"),
        (["{file}", "--yard", "Moon"], "There is no yard “Moon”; the 1 yard here: Barn"),
        (["{file}", "--by", "nobody"], "Nobody signs in as “nobody”"),
    ],
)
def test_what_cannot_be_done_ends_with_two_and_a_sentence(file, args, word):
    with pytest.raises(CommandError, match=word) as error:
        call_command("import_readings", *(arg.format(file=file) for arg in args))
    assert error.value.returncode == 2


def test_the_exit_status_and_the_sentence_reach_the_shell():
    done = subprocess.run(
        [sys.executable, "manage.py", "import_readings", "gone.csv"],
        cwd=settings.ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert "There is no file gone.csv" in done.stderr
    assert "Traceback" not in done.stderr
