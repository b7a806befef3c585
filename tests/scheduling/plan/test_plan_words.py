"""Why work waits, without solving anything."""

from dataclasses import replace
from datetime import date

import pytest

from fleet.models import Shop
from scheduling.plan.decided import Decided
from scheduling.plan.horizon import Horizon
from scheduling.plan.plan_words import missing, why_not, why_there
from scheduling.plan.rented import Out
from scheduling.plan.shelf import Arrival, PlaceNeed, Shelf, Stock
from tests.scheduling.plan.one_quad import ADA, FACTS, OIL, QUAD, facts

BO = replace(ADA, pk=8, username="bo")
RANCH_SHUT = Horizon(date(2026, 3, 2), (10.0,) * 5, {}, yards_shut={3: [0, 1, 2, 3, 4]})
SLIPPING = Stock(4, "oil filter", 1.0, (Arrival(3, 5.0, 9),))
FILTER = Stock(4, "oil filter", 1.0, (Arrival(9, 5.0),))
TWO = {OIL.key: (PlaceNeed(4, 2.0),)}
UNCOUNTED = Shelf(
    {OIL.key: tuple(PlaceNeed(n, 1.0) for n in range(4))}, {}, dict(enumerate("abcd"))
)


@pytest.mark.parametrize(
    ("work", "found", "sentence"),
    [
        (OIL, FACTS, "No room for it: the hours, bays and days go to work that would cost more to"),
        (replace(OIL, due=(9, 9, 9)), FACTS, "Not due within this plan"),
        (OIL, facts(workers=[]), "Nobody works in the shop on any open day"),
        (replace(OIL, skill="inspector"), FACTS, "Nobody in the shop holds the skill inspector."),
        (OIL, facts(shelf=Shelf(TWO, {4: FILTER}, {})),
         "It takes 2 of oil filter, but 1 are on hand and not enough are on their way"),
        (OIL, facts(shelf=Shelf(TWO, {4: SLIPPING}, {})),
         "It takes 2 of oil filter; what is on its way may come as late as Wed 11 Mar"),
        (replace(OIL, minutes=600), FACTS, "It takes 10.5 h with the visit, and the longest day"),
        (replace(OIL, minutes=570), FACTS, "No room for it"),
        (replace(OIL, minutes=6000, several_days=True), FACTS, "No room for it"),
        (replace(OIL, second=(30, "any")), FACTS, "It takes two, and nobody else works on"),
        (replace(OIL, second=(30, "general")), facts(workers=[ADA, BO]),
         "It takes two, and nobody else who holds the skill general works"),
        (replace(OIL, second=(30, "any")), facts(workers=[ADA, BO]), "No room for it"),
        (OIL, facts(machines={1: replace(QUAD, yard=3)}, horizon=RANCH_SHUT),
         "Its yard is shut, or the machine booked out, on every open day"),
        (OIL, facts(machines={1: replace(QUAD, outs=(Out(5, -3, 9, 1.0),))}),
         "The machine is booked out on every open day"),
        (OIL, facts(decided=Decided({}, {OIL.key: date(2026, 5, 4)}, {}, {})),
         "Pinned to Mon 4 May, beyond this plan."),
    ],
)  # fmt: skip
def test_why_work_waits(work, found, sentence):
    assert why_not(work, found).startswith(sentence)


def test_why_work_waits_says_what_the_planner_found():
    text = "No place is free for it in this plan."
    assert why_not(OIL, FACTS, text).endswith(f"more to leave. {text}")
    nobody = facts(workers=[])
    assert text not in why_not(OIL, nobody, text)  # what makes it impossible says it all
    assert why_not(OIL, FACTS, "x" * 900).endswith("to leave. …")  # whole sentences or none


def test_why_work_stands_there():
    put_off = {OIL.key: (date(2026, 2, 27), "no filter")}
    found = facts(decided=Decided({}, {}, {}, put_off))
    work = replace(OIL, covers=("Grease", "Look-over"), past_limit=True)
    assert why_there(work, "It is pinned here.", found) == (
        "Past its hard limit: the machine may not go out until it is done. It is pinned here. "
        "It covers Grease and Look-over. Put off on Fri 27 Feb: no filter."
    )
    assert why_there(OIL, "", FACTS) == ""


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (facts(horizon=Horizon(date(2026, 3, 2), (0.0,) * 5, {})), "not open on any day"),
        (facts(workers=[]), "Nobody has working hours"),
        (facts(workers=[replace(ADA, hours=(0.0,) * 5)]), "Nobody works on any open day"),
        (facts(shop=Shop(name="Fork", bays=0)), "no bay"),
        (facts(shelf=UNCOUNTED), "a, b and c and 1 more"),
    ],
)
def test_what_the_shop_lacks(found, sentence):
    assert any(sentence in each for each in missing(found))


def test_shop_that_lacks_nothing():
    assert missing(FACTS) == []
