"""Keys of other programs: made, shown once, revoked."""

from hashlib import sha256

import pytest
from django.core.management import CommandError, call_command

from fleet.actions.make_keys import NewKey, make_key, revoke_key
from fleet.models import ClientKey, KeyScope, LoggedChange
from fleet.queries.standing_keys import key_shown
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_only_a_digest_is_kept():
    key, word = make_key(NewKey("web shop", [KeyScope.DESK]), by=None, now=NOON)
    assert key.digest == sha256(word.encode()).hexdigest()
    kept = " ".join(map(str, ClientKey.objects.values_list().get()))
    assert word not in kept
    assert len(word) > 40


def test_making_and_revoking_stand_in_the_change_log():
    person = factories.Person()
    key, word = make_key(NewKey("web shop", [KeyScope.READ]), by=person, now=NOON)
    revoke_key(key, by=person, now=NOON)
    revoke_key(key, by=person, now=NOON)
    logged = LoggedChange.objects.filter(kind="client key").order_by("pk")
    assert [(one.act, one.by) for one in logged] == [("made", person), ("revoked", person)]
    assert word not in " ".join(f"{one.subject} {one.values}" for one in logged)
    assert key_shown(word) is None


def test_a_form_sent_twice_makes_one_key():
    new = NewKey("web shop", [KeyScope.READ], form_key="abc")
    made, word = make_key(new, by=None, now=NOON)
    assert make_key(new, by=None, now=NOON) == (made, "")
    assert ClientKey.objects.count() == 1
    assert word


@pytest.mark.parametrize("new", [NewKey(" ", [KeyScope.READ]), NewKey("web shop", [])])
def test_a_key_has_a_name_and_a_purpose(new):
    with pytest.raises(Refusal):
        make_key(new, by=None, now=NOON)


@pytest.mark.parametrize(
    ("scope", "reaches"),
    [
        (KeyScope.READ, {KeyScope.READ}),
        (KeyScope.DESK, {KeyScope.READ, KeyScope.DESK}),
        (KeyScope.READINGS, {KeyScope.READINGS}),
    ],
)
def test_how_far_a_key_reaches(scope, reaches):
    assert {one for one in KeyScope if ClientKey(scopes=[scope]).may(one)} == reaches


def test_the_command_prints_the_key_alone_on_the_last_line(capsys):
    factories.Shop(name="Home")
    call_command("make_key", "phone line", "--scope", "desk", "--shop", "home")
    word = capsys.readouterr().out.splitlines()[-1]
    key = key_shown(word)
    assert (key.name, key.scopes, str(key.shop)) == ("phone line", ["desk"], "Home")


@pytest.mark.parametrize("more", [["--shop", "none"], ["--person", "nobody"]])
def test_the_command_says_what_is_not_there(more):
    with pytest.raises(CommandError, match=r"(There is no shop|Nobody signs in)"):
        call_command("make_key", "phone line", "--scope", "desk", *more)
    assert not ClientKey.objects.exists()
