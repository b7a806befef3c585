"""What the demo's shop has more or less of for a while."""

from datetime import date, timedelta

import pytest

from fleet.demo.scenario import scenario
from fleet.demo.write_capacity import roll_capacity, write_capacity
from fleet.demo.write_places import write_place
from fleet.models import CapacitySpell, ClosedDay, LentHand, Person, Qualification, Skill

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)
LATER = TODAY + timedelta(days=60)


@pytest.fixture
def place():
    for name in scenario().procedures["skills"]:
        Skill.objects.create(name=name)
    found = write_place(scenario(), 0, 98, (TODAY, TODAY))
    write_capacity(scenario(), found, TODAY)
    return found


def test_every_fact_is_one_that_its_sheet_would_take(place):
    rows = [
        *place.shop.capacity_spells.all(), *place.shop.bay_loans.all(),
        *place.shop.lent_hands.all(), *place.shop.closed_days.all(),
    ]  # fmt: skip
    assert len(rows) > 5
    for row in rows:
        row.full_clean()


def test_haying_holds_less_and_the_month_before_storage_more(place):
    shares = dict(place.shop.capacity_spells.values_list("reason", "share"))
    assert shares["haying"] < 1 < shares["the month before storage"]


def test_a_certificate_runs_out_within_the_plan(place):
    row = Qualification.objects.get(valid_until__isnull=False)
    assert row.person.username == "teo"
    assert TODAY < row.valid_until < TODAY + timedelta(days=place.shop.horizon_days)


def test_the_lent_hand_has_skills_and_the_ranch_a_day_of_its_own(place):
    assert LentHand.objects.get().skills.count() == 2
    assert place.shop.closed_days.get(yard=place.yards["ranch"]).day > TODAY


def test_told_again_on_the_same_day_it_adds_nothing(place):
    before = [m.objects.count() for m in (CapacitySpell, LentHand, ClosedDay, Person)]
    roll_capacity(scenario(), place, TODAY)
    assert [m.objects.count() for m in (CapacitySpell, LentHand, ClosedDay, Person)] == before


def test_what_has_gone_by_is_told_again_by_the_same_people(place):
    roll_capacity(scenario(), place, LATER)
    assert LentHand.objects.count() == 2
    assert LentHand.objects.values("person").distinct().count() == 1
    assert place.shop.bay_loans.filter(last_day__gte=LATER).count() == 1
    assert CapacitySpell.objects.exclude(year=None).count() == 2
    assert Qualification.objects.get(valid_until__isnull=False).valid_until > LATER
