"""A change does to loaded facts what it does once it is a fact and loaded again."""

from dataclasses import replace

import pytest

from fleet.models import Booking, Delivery, LentHand
from scheduling.actions.facts_of_trials import Maker, make_fact
from scheduling.core.planner import read_problem
from scheduling.plan.shop_problem import instance, load_shop
from scheduling.trial.apply_changes import changed
from scheduling.trial.changes import (
    Away,
    BackLate,
    BayLost,
    Booked,
    BrokeDown,
    DayClosed,
    DayOpened,
    HandLent,
    MoreOvertime,
    Moved,
    PartGone,
    PartLate,
    TakesLonger,
)
from tests import factories as make
from tests.factories import key_of
from tests.scheduling.cases import NOW
from tests.scheduling.trial.every_change import day

pytestmark = pytest.mark.django_db


def out_now(machine):
    """The machine is out and was to come back tomorrow."""
    booking = make.Booking(machine=machine, first_day=day(-2), last_day=day(1), made_at=NOW)
    return BackLate(booking.pk, machine.pk, machine.tag, day(4))


def late(delivery, to):
    part = delivery.part
    return PartLate(
        delivery.pk, part.pk, part.name, delivery.quantity, to,
        delivery.expected_on, delivery.latest_on,
    )  # fmt: skip


def sister():
    """A mechanic of another shop."""
    return make.Mechanic(username="cy", first_name="Cy")


CASES = {
    "a day closed": lambda m, ada: DayClosed(day(2)),
    "a closed day closed": lambda m, ada: DayClosed(day(5)),
    "a day closed beyond the plan": lambda m, ada: DayClosed(day(90)),
    "a Saturday open": lambda m, ada: DayOpened(day(5), 6.0),
    "a day open longer": lambda m, ada: DayOpened(day(2), 12.0),
    "away": lambda m, ada: Away(ada.pk, str(ada), day(1), day(4)),
    "away beyond the plan": lambda m, ada: Away(ada.pk, str(ada), day(9), day(90)),
    "a hand from outside": lambda m, ada: HandLent("Sam", 7.5, ("general",), day(1), day(2)),
    "a hand of ours": lambda m, ada: HandLent(
        "Cy", 8.0, ("general",), day(1), day(2), sister().pk, "cy"
    ),
    "a part late": lambda m, ada: late(Delivery.objects.get(), day(9)),
    "a part that was late already": lambda m, ada: late(
        make.Delivery(part=Delivery.objects.get().part, shop=ada.shop, expected_on=day(-3)), day(6)
    ),
    "a part not there": lambda m, ada: PartGone(Delivery.objects.get().part_id, "filter", 0.0),
    "a part never needed": lambda m, ada: PartGone(make.Part().pk, "belt", 0.0),
    "a booking": lambda m, ada: Booked(m[2].pk, m[2].tag, day(3), day(6), "Two Pines", 480.0),
    "a booking without a value": lambda m, ada: Booked(
        m[2].pk, m[2].tag, day(3), day(6), "Two Pines"
    ),
    "back late": lambda m, ada: out_now(m[2]),
    "moved": lambda m, ada: Moved(
        m[0].pk, m[0].tag, key_of(m[0], "oil"), "Oil", day(2), ada.username
    ),
    "moved beyond the plan": lambda m, ada: Moved(
        m[0].pk, m[0].tag, key_of(m[0], "oil"), "Oil", day(60)
    ),
    "longer": lambda m, ada: TakesLonger(m[0].pk, m[0].tag, key_of(m[0], "oil"), "Oil", 200),
    "overtime": lambda m, ada: MoreOvertime(day(2), 3.0),
    "a bay lost": lambda m, ada: BayLost(1, day(-1), day(3)),
    "broken down": lambda m, ada: BrokeDown(m[0].pk, m[0].tag, "no drive"),
    "no overtime after all": lambda m, ada: MoreOvertime(day(2), 0.0),
}


LOADED = [
    "a day closed",
    "a Saturday open",
    "away",
    "a part late",
    "a booking",
    "moved",
    "longer",
    "a bay lost",
]
"""Changes of what is loaded already."""


def told(facts, names=()):
    """The instance, with what has a key of its own only once it is a fact told apart by days."""
    made = instance(facts)
    for machine in made["machines"]:
        for booking in machine["bookings"]:
            booking["id"] = f"{booking['first_day']} to {booking['last_day']}"
    for mechanic in made["mechanics"]:
        mechanic["id"] = dict(names).get(mechanic["id"], mechanic["id"])
    made["mechanics"].sort(key=lambda one: one["id"])
    return made


@pytest.mark.parametrize("name", CASES)
def test_a_change_and_the_fact_of_it_make_the_same_problem(name, planned, shop, mechanic):
    change = CASES[name](planned, mechanic)
    before = load_shop(shop, NOW)
    tried = changed(before, [change])
    read_problem(instance(tried))  # the planner reads it
    maker = Maker(shop, make.Person(shop=shop), NOW, "tried out on the plan", "trial:1")
    names = make_fact(change, maker)
    assert told(tried, names.items()) == told(load_shop(shop, NOW))


def test_a_change_leaves_the_facts_it_was_given_as_they_are(planned, shop, mechanic):
    facts = load_shop(shop, NOW)
    before = instance(facts)
    changed(facts, [CASES[name](planned, mechanic) for name in LOADED])
    assert instance(facts) == before


def test_changes_follow_one_another(planned, shop, mechanic):
    facts = changed(load_shop(shop, NOW), [DayOpened(day(5), 6.0), DayClosed(day(5))])
    assert facts.horizon.open_hours[5] == 0
    assert all(worker.hours[5] == 0 for worker in facts.workers)


def test_two_hands_and_two_bookings_are_told_apart(planned, shop):
    machine = planned[2]
    changes = [
        HandLent("Sam", 8.0, (), day(1), day(2)),
        HandLent("Kit", 8.0, (), day(1), day(2)),
        Booked(machine.pk, machine.tag, day(3), day(4), "Two Pines"),
        Booked(machine.pk, machine.tag, day(6), day(7), "Old Mill"),
    ]
    problem = read_problem(instance(changed(load_shop(shop, NOW), changes)))
    assert {"hand Sam", "hand Kit"} < set(problem.mechanics)
    assert {b.id for b in problem.machines[machine.tag].bookings} == {"-1", "-2"}


def test_what_is_no_change_is_refused(planned, shop):
    with pytest.raises(TypeError, match="is no change"):
        changed(load_shop(shop, NOW), [replace])


def test_facts_are_kept_with_who_said_them(planned, shop):
    person = make.Person(shop=shop)
    maker = Maker(shop, person, NOW, "tried out on the plan, no. 7", "trial:7")
    change = Booked(planned[2].pk, planned[2].tag, day(3), day(6), "Two Pines")
    for _ in range(2):
        make_fact(change, maker)
    booking = Booking.objects.get()
    assert (booking.made_by, booking.made_at) == (person, NOW)
    make_fact(HandLent("Sam", 7.5, ("general",), day(1), day(2)), maker)
    assert LentHand.objects.get().note == "tried out on the plan, no. 7"
