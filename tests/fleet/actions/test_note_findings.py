"""Findings and holds: noted once, settled once, released with a word on what was put right."""

import pytest

from fleet.actions.note_findings import (
    NewFinding,
    note_finding,
    say_check,
    settle_findings,
)
from fleet.models import Finding, Hold
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def test_a_finding_that_is_not_safe_holds_the_machine():
    machine, person = factories.Machine(), factories.Person()
    found = NewFinding(machine, "park brake slips", gravity=Finding.Gravity.UNSAFE)
    note_finding(found, by=person, now=NOON)
    assert Hold.objects.get(machine=machine).reason == "park brake slips"


def test_the_same_form_twice_is_one_finding():
    found = NewFinding(factories.Machine(), "rattles", form_key="k")
    assert note_finding(found, by=None, now=NOON) == note_finding(found, by=None, now=NOON)


def test_an_empty_finding_is_refused():
    with pytest.raises(Refusal, match="what you saw"):
        note_finding(NewFinding(factories.Machine(), "  "), by=None, now=NOON)


def test_the_first_to_settle_a_finding_stands():
    finding, first, second = factories.Finding(), factories.Person(), factories.Person()
    settle_findings([finding], note="hose replaced", by=first, now=NOON)
    settle_findings([finding], note="again", by=second, now=NOON)
    finding.refresh_from_db()
    assert finding.settled_by == first


@pytest.mark.parametrize("step", ["Hoses not chafed", "Hoses not chafed."])
def test_a_check_that_is_not_good_is_said_without_a_stop_in_the_middle(step):
    assert say_check(step, "unsafe") == "Hoses not chafed: not safe"
