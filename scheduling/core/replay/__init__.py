"""A shop's past lived through again, night by night, knowing only what was known then.

The idea: what happened to the machines (use, bookings, breakdowns) stays as it really was; what a
plan would have changed (on which day which service is done) is planned anew each night from what
was known in it, and done the next day at the life that the meter really had.  The same judge counts
both courses: that of the book, and that of the plans.

``past_shop`` holds the facts as values, ``foresight`` what a night knows of use, ``night_facts``
what it knows beside, ``due_then`` when each service would fall due, ``night_problem`` what there is
to plan, ``day_work`` the day after, ``done_book`` what has been done by then, ``tally`` the count,
``courses`` the loop.  Days are whole numbers from the first night on, moments decimal ones;
a night stands at the beginning of its day, so that it knows what came before its own number.
"""

from scheduling.core.replay.courses import LivedCourse, as_it_was, live_night
from scheduling.core.replay.crew_changes import one_less, one_more
from scheduling.core.replay.day_work import PUT_OFF
from scheduling.core.replay.done_book import DoneBook, rules_of
from scheduling.core.replay.foresight import Foresight
from scheduling.core.replay.night_facts import NightFacts, night_facts
from scheduling.core.replay.night_problem import night_problem
from scheduling.core.replay.past_shop import (
    AwaySpan,
    FixedWork,
    PastBooking,
    PastCrew,
    PastMachine,
    PastPerson,
    PastService,
    PastShop,
    ReplayLines,
)
from scheduling.core.replay.tally import Tally

__all__ = [
    "PUT_OFF",
    "AwaySpan",
    "DoneBook",
    "FixedWork",
    "Foresight",
    "LivedCourse",
    "NightFacts",
    "PastBooking",
    "PastCrew",
    "PastMachine",
    "PastPerson",
    "PastService",
    "PastShop",
    "ReplayLines",
    "Tally",
    "as_it_was",
    "live_night",
    "night_facts",
    "night_problem",
    "one_less",
    "one_more",
    "rules_of",
]
