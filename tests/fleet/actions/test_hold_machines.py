"""A hold from hanging to letting go: who may, when, once, and what the change log keeps."""

from datetime import timedelta

import pytest

from fleet.actions.hold_machines import HoldWords, NewHold, change_hold, place_hold, release_hold
from fleet.actions.note_findings import NewFinding, note_findings, settle_findings
from fleet.actions.undo_acts import undo_act
from fleet.models import Finding, Hold, LoggedChange, Role
from fleet.queries.last_act import last_act
from fleet.queries.open_holds import asked_for_release
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine():
    return factories.Machine(tag="E-07")


@pytest.fixture
def person(machine):
    """A person of the machine's shop, by role."""
    return lambda role=Role.MECHANIC: factories.Person(role=role, shop=machine.yard.shop)


@pytest.fixture
def unsafe(machine, person):
    """A hold on a finding that is not safe and asks for the skill brakes."""
    finding = factories.Finding(
        machine=machine, gravity=Finding.Gravity.UNSAFE, skill=factories.Skill(name="brakes")
    )
    return factories.Hold(machine=machine, placed_by=person(Role.DESK), finding=finding)


def settled(hold):
    settle_findings([hold.finding], note="new pads", by=None, now=NOON)
    return hold


def test_the_same_hold_twice_is_one(machine, person):
    by = person()
    place_hold(NewHold(machine, "no guard"), by=by, now=NOON)
    place_hold(NewHold(machine, " no guard "), by=by, now=NOON)
    hold = Hold.objects.get()
    assert (hold.decided_by, hold.for_safety) == (by, False)


def test_each_finding_that_is_not_safe_has_a_hold_of_its_own(machine, person):
    """Else the machine would be let go with the second of them still to be put right."""
    by = person()
    seen = [NewFinding(machine, "brakes fail", gravity="unsafe") for _ in range(2)]
    findings = note_findings(seen, by=by, now=NOON)
    assert {hold.finding for hold in Hold.objects.all()} == set(findings)


def test_a_hold_is_released_only_with_a_word_on_what_was_put_right():
    hold = factories.Hold()
    with pytest.raises(Refusal, match="put right"):
        release_hold(hold, note="  ", by=hold.placed_by, now=NOON)
    released = release_hold(hold, note="new pads", by=hold.placed_by, now=NOON)
    assert (released.released_at, released.released_note) == (NOON, "new pads")


def test_the_first_release_stands_and_is_logged_once(machine, person):
    hold = factories.Hold(machine=machine, placed_by=person(Role.DESK))
    first, second = person(Role.MANAGER), person(Role.MANAGER)
    release_hold(hold, note="new pads", by=first, now=NOON)
    again = release_hold(hold, note="me too", by=second, now=NOON + timedelta(hours=1))
    assert (again.released_by, again.released_note) == (first, "new pads")
    logged = LoggedChange.objects.get()
    assert (logged.act, logged.by, logged.reason) == ("released", first, "new pads")
    assert logged.machine == machine


@pytest.mark.parametrize("role", [Role.MANAGER, Role.MECHANIC])
def test_nobody_releases_before_what_was_found_is_put_right(unsafe, person, role):
    by = person(role)
    by.skills.add(unsafe.finding.skill)
    with pytest.raises(Refusal, match="finish its repair"):
        release_hold(unsafe, note="looks fine", by=by, now=NOON)


def test_a_mechanic_with_the_skill_releases_for_safety(unsafe, person):
    by = person()
    with pytest.raises(Refusal, match="who holds the skill brakes or a manager may release it"):
        release_hold(settled(unsafe), note="new pads", by=by, now=NOON)
    by.skills.add(unsafe.finding.skill)
    assert release_hold(unsafe, note="new pads", by=by, now=NOON).released_by == by


def test_a_skill_that_has_run_out_releases_nothing(unsafe, person):
    by = person()
    by.qualifications.create(skill=unsafe.finding.skill, valid_until=TODAY - timedelta(days=1))
    with pytest.raises(Refusal, match="brakes"):
        release_hold(settled(unsafe), note="new pads", by=by, now=NOON)


def test_a_mechanic_of_another_shop_does_not_release_for_safety(unsafe):
    by = factories.Person(role=Role.MECHANIC)
    by.skills.add(unsafe.finding.skill)
    with pytest.raises(Refusal, match="A mechanic of"):
        release_hold(settled(unsafe), note="new pads", by=by, now=NOON)


def test_the_desk_that_hung_it_for_safety_does_not_release_it(unsafe):
    with pytest.raises(Refusal, match="A mechanic of"):
        release_hold(settled(unsafe), note="looks fine", by=unsafe.placed_by, now=NOON)


def test_a_hold_that_says_it_is_for_safety_takes_any_mechanic_of_the_shop(machine, person):
    hold = place_hold(
        NewHold(machine, "smells of fuel", safety=True), by=person(Role.DESK), now=NOON
    )
    by = person()
    assert release_hold(hold, note="hose clamp", by=by, now=NOON).released_by == by


def test_another_hold_is_its_owners_or_a_managers(machine, person):
    owner = person(Role.DESK)
    hold = place_hold(NewHold(machine, "for the fair", owner=owner), by=person(Role.DESK), now=NOON)
    for other in (person(Role.DESK), person(), hold.placed_by):
        with pytest.raises(Refusal, match=f"{owner} or a manager may release it"):
            release_hold(hold, note="fair is over", by=other, now=NOON)
    assert release_hold(hold, note="fair is over", by=owner, now=NOON).released_at == NOON


def test_what_is_changed_of_a_hold_is_logged_with_old_and_new(machine, person):
    by, other = person(Role.DESK), person(Role.MANAGER)
    hold = place_hold(NewHold(machine, "no guard", condition="guard fitted"), by=by, now=NOON)
    change_hold(hold, HoldWords("no guard", "guard tried", other), by=by, now=NOON)
    hold.refresh_from_db()
    assert (hold.condition, hold.decided_by) == ("guard tried", other)
    assert {(v["field"], v["old"], v["new"]) for v in LoggedChange.objects.get().values} == {
        ("what must be true for its release", "guard fitted", "guard tried"),
        ("owner", str(by), str(other)),
    }


def test_nothing_changed_is_not_logged(machine, person):
    by = person(Role.DESK)
    hold = place_hold(NewHold(machine, "no guard"), by=by, now=NOON)
    change_hold(hold, HoldWords("no guard", "", by), by=by, now=NOON)
    assert not LoggedChange.objects.exists()


def test_a_hold_is_changed_by_whose_it_is_and_only_while_it_hangs(machine, person):
    hold = place_hold(NewHold(machine, "no guard"), by=person(Role.DESK), now=NOON)
    words = HoldWords("x", "", hold.owner)
    with pytest.raises(Refusal, match="decides over this hold"):
        change_hold(hold, words, by=person(Role.DESK), now=NOON)
    release_hold(hold, note="done", by=hold.owner, now=NOON)
    with pytest.raises(Refusal, match="released already"):
        change_hold(hold, words, by=hold.owner, now=NOON)


class TestALook:
    """A hold on which nothing was found may ask the shop to look: work like any other."""

    @pytest.fixture
    def hold(self, machine, person):
        by = person(Role.DESK)
        return place_hold(NewHold(machine, "rattles", look=True), by=by, now=NOON)

    def test_it_is_work_to_plan_and_said_once(self, hold, machine):
        looked = hold.finding
        assert (looked.text, looked.gravity) == ("Look at it: rattles", Finding.Gravity.DEFECT)
        again = NewHold(machine, "rattles ", look=True)
        assert place_hold(again, by=hold.placed_by, now=NOON) == hold
        assert Finding.objects.count() == 1

    def test_it_says_what_the_hold_says_by_now(self, hold):
        words = HoldWords("rattles at the back", "", hold.placed_by)
        change_hold(hold, words, by=hold.placed_by, now=NOON)
        assert Finding.objects.get().text == "Look at it: rattles at the back"

    def test_released_it_is_looked_at_with_name_and_note(self, hold):
        release_hold(hold, note="a loose bolt", by=hold.placed_by, now=NOON)
        looked = Finding.objects.get()
        assert (looked.settled_by, looked.settled_note) == (hold.placed_by, "a loose bolt")
        assert LoggedChange.objects.filter(act="settled", reason="a loose bolt").exists()

    def test_looked_at_by_the_shop_it_is_asked_about(self, hold, person):
        mechanic = person()
        settled(hold)
        (asked,) = asked_for_release(mechanic, hold.machine, NOON)
        assert asked.hold == hold

    def test_undone_the_look_goes_with_the_hold(self, hold):
        undo_act(last_act(hold.placed_by, NOON), by=hold.placed_by, now=NOON)
        hold.refresh_from_db()
        assert hold.released_at
        assert Finding.objects.get().struck
