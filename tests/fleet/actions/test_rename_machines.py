"""A machine's tag: its old one leads to it, and goes to no other machine unasked."""

import pytest

from fleet.actions.rename_machines import rename_machine
from fleet.intake.resolving import MachinesByTag
from fleet.models import FormerTag, LoggedChange, Machine
from fleet.queries.machine_called import machine_called, tag_of_today
from fleet.refusal import Refusal
from tests import factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db


def renamed(machine, tag, **more):
    by = factories.Person()
    return rename_machine(machine, tag, reason="new signs", by=by, now=NOON, **more)


def test_the_old_tag_leads_to_the_machine_and_the_log_tells_both():
    machine = factories.Machine(tag="MX-02")
    renamed(machine, " EX-20 ")
    assert machine_called(Machine.objects.all(), "MX-02") == machine
    assert (tag_of_today("MX-02"), tag_of_today("EX-20")) == ("EX-20", "EX-20")
    logged = LoggedChange.objects.get()
    assert (logged.machine, logged.act, logged.reason) == (machine, "renamed", "new signs")
    assert logged.values == [{"field": "tag", "old": "MX-02", "new": "EX-20"}]


def test_after_two_names_both_old_ones_lead_to_the_last():
    machine = factories.Machine(tag="A")
    renamed(renamed(machine, "B"), "C")
    assert [tag_of_today(tag) for tag in "ABC"] == ["C", "C", "C"]


def test_the_same_tag_again_changes_nothing():
    renamed(factories.Machine(tag="A"), "A")
    assert not FormerTag.objects.exists()
    assert not LoggedChange.objects.exists()


@pytest.mark.parametrize("tag", ["", " ", "a/b", "a?b", "x" * 21])
def test_what_is_no_tag_is_refused_at_its_field(tag):
    machine = factories.Machine(tag="A")
    with pytest.raises(Refusal) as refused:
        renamed(machine, tag)
    assert refused.value.field == "tag"


def test_a_tag_that_another_carries_is_refused_in_any_case():
    factories.Machine(tag="MX-02")
    with pytest.raises(Refusal, match="tag of another machine"):
        renamed(factories.Machine(tag="A"), "mx-02")


def test_a_tag_that_another_gave_up_goes_to_one_who_says_so_alone():
    first, second = factories.Machine(tag="MX-02"), factories.Machine(tag="MX-03")
    renamed(first, "EX-20")
    with pytest.raises(Refusal, match="was the tag of EX-20 until 2 Mar 2026") as refused:
        renamed(second, "MX-02")
    assert refused.value.field == "take_former"
    renamed(second, "MX-02", take_former=True)
    assert machine_called(Machine.objects.all(), "MX-02") == second


def test_its_own_former_tag_needs_no_asking():
    machine = factories.Machine(tag="A")
    renamed(renamed(machine, "B"), "A")
    assert tag_of_today("B") == "A"


def test_a_file_that_still_says_the_old_tag_finds_the_machine():
    meter = factories.Meter(machine__tag="MX-02")
    renamed(meter.machine, "EX-20")
    named = MachinesByTag.named(["mx-02", "nobody"])
    assert named.find("mx-02") == meter.machine
    assert named.fittings.kinds(meter.machine.pk) == ["hours"]
    assert named.find("nobody") is None
