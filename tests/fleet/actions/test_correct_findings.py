"""Findings put right: nothing of the wrong one is planned, and it can still be seen."""

from datetime import timedelta

import pytest

from fleet.actions.correct_findings import (
    FindingCorrection,
    correct_finding,
    strike_finding,
    unsettle_finding,
)
from fleet.models import Finding, Hold, LoggedChange
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db

LATER = NOON + timedelta(hours=1)


@pytest.fixture
def by():
    return factories.Mechanic()


def test_what_a_finding_said_before_is_kept_with_name_and_reason(by):
    finding = factories.Finding(text="hose chafed")
    right = FindingCorrection("belt chafed", finding.gravity, 30)
    correct_finding(finding, right, why="looked again", by=by, now=LATER)
    row = LoggedChange.objects.get()
    assert {"field": "text", "old": "hose chafed", "new": "belt chafed"} in row.values
    assert (row.by, row.reason, row.machine) == (by, "looked again", finding.machine)
    assert Finding.objects.get().minutes == 30


def test_one_that_turns_out_not_to_be_safe_holds_the_machine(by):
    finding = factories.Finding(text="brakes pull")
    unsafe = FindingCorrection("brakes pull", Finding.Gravity.UNSAFE, 60)
    correct_finding(finding, unsafe, why="", by=by, now=LATER)
    assert Hold.objects.get().finding == finding


def test_a_struck_finding_says_which_holds_stay(by):
    finding = factories.Finding()
    hold = factories.Hold(machine=finding.machine, finding=finding)
    assert strike_finding(finding, why="another machine", by=by, now=LATER) == [hold]
    hold.refresh_from_db()
    assert hold.released_at is None


def test_striking_asks_why_and_is_done_once(by):
    finding = factories.Finding()
    with pytest.raises(Refusal, match="Say why"):
        strike_finding(finding, why=" ", by=by, now=LATER)
    for _ in range(2):
        finding.refresh_from_db()
        strike_finding(finding, why="not so", by=by, now=LATER)
    assert LoggedChange.objects.count() == 1


def test_a_struck_finding_is_opened_again_before_it_is_corrected(by):
    finding = factories.Finding()
    strike_finding(finding, why="not so", by=by, now=LATER)
    right = FindingCorrection("x", Finding.Gravity.NOTE, 60)
    with pytest.raises(Refusal, match="open it again first"):
        correct_finding(finding, right, why="", by=by, now=LATER)
    assert unsettle_finding(finding, why="it was so", by=by, now=LATER).settled_at is None
    assert correct_finding(finding, right, why="", by=by, now=LATER).text == "x"
