from datetime import time, timedelta

import pytest

from fleet.models import Absence, OpenDay, Qualification, ShopHours, WorkingHours
from scheduling.plan.horizon import load_horizon
from scheduling.plan.workers import load_workers, worker_on
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

pytestmark = pytest.mark.django_db


def test_hours_of_people(shop, mechanic):
    ShopHours.objects.filter(weekday=1).update(opens=time(7), closes=time(12, 30))
    Absence.objects.create(person=mechanic, first_day=TODAY, last_day=TODAY)
    horizon = load_horizon(shop, NOW)
    (worker,) = load_workers(shop, horizon)
    # away, half a day open, two full days
    assert worker.hours[:4] == (0, 5.5, 8, 8)
    assert worker.skills == {"any", "general"}
    assert worker.name == "Ada Brook"


def test_everybody_who_is_there_works_on_a_day_open_all_the_same(shop, mechanic):
    saturday = TODAY + timedelta(days=5)
    make.Person(shop=shop)  # never works in the shop
    OpenDay.objects.create(shop=shop, day=saturday, hours=6, at=NOW)
    (worker,) = load_workers(shop, load_horizon(shop, NOW))
    assert worker.hours[4:7] == (8, 6, 0)
    Absence.objects.create(person=mechanic, first_day=saturday, last_day=saturday)
    (worker,) = load_workers(shop, load_horizon(shop, NOW))
    assert worker.hours[5] == 0


def test_who_does_not_work_here(shop, mechanic):
    make.Mechanic()  # in another shop
    make.Mechanic(shop=shop, is_active=False)
    make.Person(shop=shop)  # without working hours
    workers = load_workers(shop, load_horizon(shop, NOW))
    assert [worker.pk for worker in workers] == [mechanic.pk]


def test_person_works_without_any_skill(shop):
    person = make.Person(shop=shop)
    WorkingHours.objects.create(person=person, weekday=0, hours=3)
    (worker,) = load_workers(shop, load_horizon(shop, NOW))
    assert worker.skills == {"any"}


def workers(shop):
    return load_workers(shop, load_horizon(shop, NOW))


def day(ahead):
    return TODAY + timedelta(days=ahead)


def test_a_spell_shares_out_the_usual_hours_of_the_shops_own_people(shop, mechanic):
    make.CapacitySpell(shop=shop, share=0.25, last_day=4)
    (ada,) = workers(shop)
    assert ada.hours[:4] == (2, 2, 2, 8)


def test_a_spell_of_one_year_wins_over_one_of_every_year(shop, mechanic):
    make.CapacitySpell(shop=shop, share=0.5, year=2026)
    make.CapacitySpell(shop=shop, share=1.25)
    (ada,) = workers(shop)
    assert ada.hours[0] == 4


def test_in_a_spell_people_may_work_longer_than_the_shop_is_open_and_no_longer_than_a_day(shop):
    long = make.Mechanic(shop=shop)
    long.working_hours.update(hours=24)
    ShopHours.objects.update(opens=time(0), closes=time(23))
    make.CapacitySpell(shop=shop, share=2)
    assert workers(shop)[0].hours[0] == 24


def test_a_lent_hand_works_on_their_days_as_agreed(shop, mechanic):
    make.CapacitySpell(shop=shop, share=0)  # of the shop's own people alone
    lent = make.LentHand(shop=shop, name="Runa", first_day=day(1), last_day=day(2), hours=6)
    ada, runa = workers(shop)
    assert (runa.pk, runa.name, runa.username) == (lent.person_id, "Runa", "hand-runa")
    assert runa.hours[:4] == (0, 6, 6, 0)
    assert runa.skills == {"any", "general"}
    assert ada.hours[1] == 0


def test_a_lent_hand_works_no_longer_than_the_shop_is_open(shop):
    make.LentHand(shop=shop, hours=12)
    (hand,) = workers(shop)
    assert hand.hours[4:7] == (10, 0, 0)  # Friday; shut at the weekend


def test_one_of_our_own_people_is_lent_to_another_shop(shop, mechanic):
    other = make.Shop(horizon_days=14)
    make.LentHand(shop=other, person=mechanic, name="", first_day=TODAY, last_day=TODAY)
    wiring = make.Skill(name="wiring")
    make.LentHand(
        shop=other, person=mechanic, name="", first_day=day(1), last_day=day(1), skilled=[wiring]
    )
    (here,), there = workers(shop), workers(other)
    assert here.hours[:3] == (0, 0, 8)
    assert [(one.username, one.hours[:3]) for one in there] == [
        ("ada", (8, 0, 0)), ("ada~2", (0, 8, 0)),
    ]  # fmt: skip
    assert there[1].skills == {"any", "wiring"}


def test_a_certificate_that_runs_out_makes_two_workers_of_one_person(shop, mechanic):
    skill = make.Skill(name="inspector")
    Qualification.objects.create(person=mechanic, skill=skill, valid_until=day(2))
    before, after = workers(shop)
    assert (before.pk, after.pk) == (mechanic.pk, mechanic.pk)
    assert (before.username, after.username, after.account) == ("ada", "ada~2", "ada")
    assert before.hours[:5] == (8, 8, 8, 0, 0)
    assert after.hours[:5] == (0, 0, 0, 8, 8)
    assert before.skills - after.skills == {"inspector"}


def test_somebody_who_signs_in_like_the_second_worker_of_another_stays_apart(shop, mechanic):
    other = make.Person(username="ada~2", shop=shop)
    WorkingHours.objects.create(person=other, weekday=0, hours=8)
    skill = make.Skill(name="inspector")
    Qualification.objects.create(person=mechanic, skill=skill, valid_until=day(2))
    accounts = {one.username: (one.pk, one.account) for one in workers(shop)}
    assert accounts == {
        "ada": (mechanic.pk, "ada"),
        "ada~2~": (mechanic.pk, "ada"),
        "ada~2": (other.pk, "ada~2"),
    }


def test_days_away_change_no_workers_name_or_skills(shop, mechanic):
    """Away until the certificate has run out, or all along: work stands under both names still."""
    skill = make.Skill(name="inspector")
    Qualification.objects.create(person=mechanic, skill=skill, valid_until=day(2))
    usual = [(one.username, one.skills) for one in workers(shop)]
    away = Absence.objects.create(person=mechanic, first_day=TODAY, last_day=day(3))
    assert [(one.username, one.skills) for one in workers(shop)] == usual
    assert [one.hours[:5] for one in workers(shop)] == [(0,) * 5, (0, 0, 0, 0, 8)]
    away.last_day = day(400)
    away.save()
    assert [(one.username, one.skills, sum(one.hours)) for one in workers(shop)] == [
        (name, skills, 0) for name, skills in usual
    ]


def test_a_certificate_that_ran_out_before_makes_one(shop, mechanic):
    skill = make.Skill(name="inspector")
    Qualification.objects.create(person=mechanic, skill=skill, valid_until=day(-1))
    (ada,) = workers(shop)
    assert ada.skills == {"any", "general"}


@pytest.mark.parametrize(("ahead", "name"), [(0, "ada"), (1, "ada"), (2, "ada~2"), (5, "ada")])
def test_the_name_of_a_person_on_a_day(shop, mechanic, ahead, name):
    skill = make.Skill(name="inspector")
    Qualification.objects.create(person=mechanic, skill=skill, valid_until=day(1))
    assert worker_on(workers(shop), "ada", ahead) == name
    assert worker_on(workers(shop), "nobody", ahead) is None


def test_the_number_of_queries_does_not_grow(shop, mechanic, django_assert_num_queries):
    for _ in range(3):
        make.Mechanic(shop=shop)
        make.LentHand(shop=shop)
    horizon = load_horizon(shop, NOW)
    with django_assert_num_queries(5):
        load_workers(shop, horizon)
