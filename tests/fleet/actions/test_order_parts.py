"""What lacks goes onto the order list with the jobs that it is for, each asked for once."""

from datetime import timedelta

import pytest

from fleet.actions.order_parts import MissingPart, miss_part, order_line, order_more, receive_line
from fleet.actions.undo_acts import undo_act
from fleet.models import Act, LoggedChange, OrderedFor, OrderLine
from tests import factories
from tests.factories import NOON, TODAY

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def case():
    machine = factories.Machine()
    by = factories.Mechanic(shop=machine.yard.shop)
    return factories.Part(), machine, by


def missing(case, service, day, *, planned=True):
    part, machine, _ = case
    job = OrderedFor(machine=machine, service=service, day=day, planned=planned)
    return MissingPart(part, machine.yard.shop, 1.0, 0.0, day, [job])


def jobs():
    return [(job.service.name, job.day) for job in OrderLine.objects.get().jobs.all()]


def test_work_that_the_plan_moved_since_is_not_asked_for_again(case):
    oil = factories.Service(name="oil")
    for day in (TODAY, TODAY + DAY):
        miss_part(missing(case, oil, day), by=case[-1], now=NOON)
    assert OrderLine.objects.get().quantity == 1
    assert jobs() == [("oil", TODAY)]


def test_a_later_time_of_the_service_on_the_list_does_not_stand_for_the_one_of_today(case):
    oil = factories.Service(name="oil")
    later = missing(case, oil, TODAY + 60 * DAY, planned=False)
    order_more(later, by=case[-1], now=NOON)
    miss_part(missing(case, oil, TODAY), by=case[-1], now=NOON)
    line = OrderLine.objects.get()
    assert (line.quantity, line.need_by) == (2, TODAY)
    assert jobs() == [("oil", TODAY), ("oil", TODAY + 60 * DAY)]


def test_what_a_job_adds_is_logged_with_the_job(case):
    oil, grease = factories.Service(name="oil"), factories.Service(name="grease")
    miss_part(missing(case, oil, TODAY), by=case[-1], now=NOON)
    miss_part(missing(case, grease, TODAY), by=case[-1], now=NOON)
    (change,) = LoggedChange.objects.filter(kind="order line")
    added = next(value for value in change.values if value["field"] == "for")
    assert "grease" not in added["old"]
    assert f"grease, {TODAY}" in added["new"]


def test_of_a_fluid_whole_containers_are_bought_and_received(case):
    _, machine, by = case
    oil = factories.Part(kind="fluid", container_ml=3785.0)
    lacks = MissingPart(oil, machine.yard.shop, 4600.0, 500.0, TODAY)
    line = miss_part(lacks, by=by, now=NOON)
    assert (line.quantity, line.to_buy) == (4100, 7570)
    line = order_line(line, NOON.date(), by=by, now=NOON)
    assert line.delivery.quantity == 7570
    line = receive_line(line, by=by, now=NOON)
    assert line.movement.quantity == line.to_buy == 7570


@pytest.mark.parametrize(
    ("facts", "lacks", "bought"),
    [
        ({"kind": "piece"}, 1.5, 2.0),
        ({"kind": "piece"}, 2.0, 2.0),
        ({"kind": "fluid"}, 1500.0, 1500.0),
        ({"kind": "fluid", "container_ml": 1000.0}, 2000.0, 2000.0),
        ({"kind": "fluid", "container_ml": 1000.0}, 2000.1, 3000.0),
    ],
)
def test_whole_pieces_and_whole_containers_are_bought(facts, lacks, bought):
    assert factories.Part.build(**facts).whole(lacks) == bought


def test_what_was_missed_by_mistake_is_wanted_no_more(case):
    oil, by = factories.Service(name="oil"), case[-1]
    line = miss_part(missing(case, oil, TODAY), by=by, now=NOON)
    assert undo_act(Act.objects.get(), by=by, now=NOON)
    line.refresh_from_db()
    assert line.state == "dropped"
    assert line.dropped_by == by


@pytest.mark.parametrize("state", ["there before", "ordered since"])
def test_undone_a_line_stays_that_was_there_before_or_is_ordered_since(case, state):
    oil, grease, by = factories.Service(name="oil"), factories.Service(name="grease"), case[-1]
    if state == "there before":
        order_more(missing(case, grease, TODAY, planned=False), by=by, now=NOON)
    line = miss_part(missing(case, oil, TODAY), by=by, now=NOON)
    if state == "ordered since":
        order_line(line, NOON.date(), by=by, now=NOON)
    assert undo_act(Act.objects.get(), by=by, now=NOON)
    line.refresh_from_db()
    assert line.state != "dropped"
