import json
from dataclasses import replace

import numpy as np
import pytest

from scheduling.core.usage import Readings
from scheduling.due.learning import Lesson, cleaned_lives, keep, kept_lessons, learn
from scheduling.facts.load_facts import load_use
from scheduling.facts.scope import Scope
from scheduling.models import UseModel
from tests import factories as make
from tests.scheduling.cases import NOW, ago, steady

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make.Shop()


def facts(shop):
    return load_use(Scope(shop.pk), NOW)


def learnt(shop):
    use = facts(shop)
    return learn(use, use.meters["hours"])


def test_lesson_is_kept_once_and_read_back(shop):
    steady(make.Machine(yard__shop=shop))
    lesson = learnt(shop)
    assert keep(shop, {"hours": lesson}, NOW) == 1
    assert keep(shop, {"hours": lesson}, NOW) == 0
    kept = kept_lessons(shop.pk, ["hours", "cycles"])
    assert kept["hours"].as_payload() == lesson.as_payload()
    json.dumps(UseModel.objects.get().payload, allow_nan=False)


@pytest.mark.parametrize("payload", [{}, {"classes": [], "model": {}}, {"classes": 1}, []])
def test_what_was_kept_in_another_form_is_learnt_anew(shop, payload):
    UseModel.objects.create(shop=shop, kind="hours", fitted_for=NOW.date(), payload=payload)
    assert kept_lessons(shop.pk, ["hours"]) == {}


def test_class_not_met_yet_stands_beyond_the_last(shop):
    machine = make.Machine(yard__shop=shop)
    steady(machine)
    lesson = learnt(shop)
    own = machine.makeup.machine_class_id
    assert lesson.group(np.array([own, own + 1])).tolist() == [0, 1]
    assert Lesson(lesson.model, ()).group(np.array([own])).tolist() == [0]


def test_idle_fleet_still_believes_a_busy_week(shop):
    """An hour a week so far: 12 h a day is believed all the same."""
    meter = steady(make.Machine(yard__shop=shop), rate=1 / 7, every=7)
    lesson = learnt(shop)
    assert lesson.model.ceiling == 12
    make.Reading(meter=meter, read_at=NOW, value=100)
    assert learnt(shop).model.ceiling == 12


def test_no_hour_meter_runs_more_than_a_day_holds(shop):
    meter = make.Meter(machine=make.Machine(yard__shop=shop))
    for back, value in [(3, 100), (2, 900), (1, 1900)]:
        make.Reading(meter=meter, read_at=ago(back), value=value)
    assert learnt(shop).model.ceiling == 24


def test_confirmed_reading_raises_the_ceiling_of_its_own_machine_alone(shop):
    steady(make.Machine(yard__shop=shop))
    pump = make.Meter(machine=make.Machine(yard__shop=shop))
    make.Reading(meter=pump, read_at=ago(10), value=100)
    make.Reading(meter=pump, read_at=ago(5), value=210, really_so=True)
    meters = facts(shop).meters["hours"]
    cleaned, limit = cleaned_lives(meters, ceiling=12.0)
    assert cleaned.accepted.all()
    assert cleaned.ceiling.tolist() == [12, pytest.approx(20)]  # 110 h in 5.5 days
    doubted, _ = cleaned_lives(replace(meters, sure=np.zeros_like(meters.sure)), ceiling=12.0)
    assert not doubted.accepted.all()
    assert limit == 12


def test_meters_without_readings_teach_a_bare_rate(shop):
    make.Meter(machine=make.Machine(yard__shop=shop))
    use = facts(shop)
    meters = replace(use.meters["hours"], readings=Readings.none(), life=np.zeros(0))
    lesson = learn(use, replace(meters, sure=np.zeros(0, dtype=bool)))
    assert lesson.model.rates.fleet_rate == 1.0
