import pytest
from django.core.management import CommandError, call_command

from fleet.models import DemoMark, Machine, Person
from tests import factories

pytestmark = pytest.mark.django_db


def load_demo(*args):
    call_command("load_demo", *args)


def test_it_says_what_it_loaded_and_who_may_sign_in(capsys):
    load_demo("--machines", "12", "--date", "2026-11-25")
    said = capsys.readouterr().out
    assert "12 machines with" in said
    assert "odile" in said
    assert "demo only" in said


def test_a_second_time_it_does_nothing_and_says_so(capsys):
    load_demo("--machines", "12", "--date", "2026-11-25")
    load_demo("--machines", "12", "--date", "2026-11-25")
    assert "here already" in capsys.readouterr().out
    assert Machine.objects.count() == 12
    assert DemoMark.objects.count() == 1


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (["--date", "25.11.2026"], "write it as 2026-11-25"),
        (["--date", "2026-02-30"], "write it as 2026-11-25"),
        (["--machines", "0"], "from 1 up"),
        (["--seed", "-1"], "from 0 up"),
    ],
)
def test_a_wrong_option_is_refused_with_a_sentence(args, sentence):
    with pytest.raises(CommandError, match=sentence) as refused:
        load_demo(*args)
    assert refused.value.returncode == 2


def test_another_demo_on_top_is_refused():
    load_demo("--machines", "12", "--date", "2026-11-25")
    with pytest.raises(CommandError, match="another demo already") as refused:
        load_demo("--machines", "20")
    assert refused.value.returncode == 2


def test_ones_own_database_is_refused_and_gets_no_demo_people():
    factories.Machine()
    with pytest.raises(CommandError, match="empty database") as refused:
        load_demo()
    assert refused.value.returncode == 2
    assert not Person.objects.exists()
