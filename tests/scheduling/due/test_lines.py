import numpy as np
import pytest

from scheduling.due.learning import learn
from scheduling.due.lines import (
    Lines,
    days_of,
    lives_at_records,
    make_lines,
    services_done,
)
from scheduling.due.meter_use import kind_use
from scheduling.facts.load_facts import load_facts
from scheduling.facts.scope import Scope
from tests import factories as make
from tests.scheduling.cases import NOW, ago, serviced, steady

pytestmark = pytest.mark.django_db


def loaded(machine):
    facts = load_facts(Scope(machine.yard.shop_id), NOW)
    use = facts.use
    return facts, {kind: kind_use(use, m, learn(use, m)) for kind, m in use.meters.items()}


def test_line_is_found_by_machine_and_service():
    column = np.array([0, 0, 3], dtype=np.int64)
    lines = Lines(column, np.array([5, 9, 5]), column, np.array(["", "", ""]))
    sought = lines.find(np.array([3, 0, 0, 3]), np.array([5, 9, 1000, 9]))
    assert sought.tolist() == [2, 1, -1, -1]


def test_no_lines():
    facts, uses = loaded(make.Machine())
    lines = make_lines(facts, uses)
    assert len(lines) == 0
    assert lines.find(np.array([0]), np.array([1])).tolist() == [-1]


def test_finding_adds_a_line_only_where_no_interval_does():
    machine = make.Machine()
    steady(machine)
    interval = make.Interval(makeup=machine.makeup)
    other = make.Service()
    make.Finding(machine=machine, calls_for=interval.service)
    make.Finding(machine=machine, calls_for=other)
    lines = make_lines(*loaded(machine))
    assert dict(zip(lines.service.tolist(), lines.interval.tolist(), strict=True)) == {
        interval.service_id: interval.pk,
        other.pk: 0,
    }
    assert lines.kind.tolist() == ["hours", "hours"]


def test_life_at_a_service_that_was_recorded_without_a_meter():
    machine = make.Machine()
    steady(machine)
    service = make.Interval(makeup=machine.makeup).service
    for days in (90, 30, 0):
        serviced(machine, service, days)
    facts, uses = loaded(machine)
    lives = lives_at_records(facts, uses["hours"])
    assert lives[1:] == pytest.approx([220, 340])
    assert 0 <= lives[0] < 100  # before the first reading, drawn on from it


def test_life_is_unknown_on_a_meter_that_the_machine_lacks():
    machine = make.Machine()
    make.Meter(machine=make.Machine(yard=machine.yard))
    serviced(machine, make.Interval(makeup=machine.makeup).service, 30)
    facts, uses = loaded(machine)
    assert np.isnan(lives_at_records(facts, uses["hours"])).all()


def test_services_done_come_with_their_last_moments():
    machine = make.Machine()
    first, second = (make.Interval(makeup=machine.makeup).service for _ in range(2))
    for days in (30, 10):
        serviced(machine, first, days)
    facts, uses = loaded(machine)
    done, latest = services_done(facts, make_lines(facts, uses), {})
    assert done.line.tolist() == [0, 0]
    assert np.isnan(done.life).all()
    assert days_of(latest).tolist() == [ago(10).date(), None]
    assert second.pk > first.pk
