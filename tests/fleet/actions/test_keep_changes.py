"""The change log keeps who, when, why, and each value before and after."""

from datetime import UTC, date, datetime

import pytest

from fleet.actions.keep_changes import ChangedValue, differences, keep_change
from fleet.logged_words import in_words, values_of
from fleet.models import LoggedChange, Role
from tests import factories

NOW = datetime(2026, 11, 29, 15, 0, tzinfo=UTC)


def test_values_are_kept_as_they_would_be_said():
    said = [in_words(v) for v in (None, True, 0.1 + 0.2, date(2026, 2, 3), NOW, Role.DESK)]
    assert said == ["", "yes", "0.3", "2026-02-03", "2026-11-29 15:00+00:00", "Rental desk"]


def test_only_what_differs_is_told():
    before, after = {"yard": "North", "year": 2019}, {"yard": "South", "year": 2019, "note": "x"}
    assert differences(before, after) == [
        ChangedValue("yard", "North", "South"),
        ChangedValue("note", "", "x"),
    ]


@pytest.mark.django_db
def test_a_change_stays_with_its_machine_and_names_what_it_was():
    machine, person = factories.Machine(tag="Q-01", year=2019), factories.Person()
    before = values_of(machine, ["tag", "year"])
    machine.tag = "Q-11"
    changed = differences(before, values_of(machine, ["tag", "year"]))
    keep_change(machine, "renamed", changed, by=person, now=NOW, reason=" new label ")
    kept = LoggedChange.objects.get()
    assert (kept.machine, kept.by, kept.at, kept.reason) == (machine, person, NOW, "new label")
    assert kept.values == [{"field": "tag", "old": "Q-01", "new": "Q-11"}]
    assert str(kept) == "machine Q-11: renamed"


@pytest.mark.django_db
def test_a_choice_is_kept_by_its_label():
    assert values_of(factories.Person(role=Role.DESK), ["role"]) == {"role": "Rental desk"}
