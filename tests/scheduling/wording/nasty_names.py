"""Drawn values of the planner, and shops whose ids and names look like words, days and money."""

from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, timedelta
from enum import Enum

from hypothesis import strategies as st

from fleet.models import Yard
from scheduling.core.planner import (
    BusyMechanic,
    Clash,
    ClashDays,
    ClashLimit,
    Conflict,
    ConflictKind,
    FixedBy,
    Leaving,
    LeavingKind,
    LimitKind,
    PlaceReason,
    Relaxation,
    RelaxationKind,
    Spot,
)
from scheduling.plan.horizon import Horizon, Worker
from scheduling.plan.rented import Rented
from scheduling.plan.shelf import Shelf, Stock
from scheduling.plan.shop_names import ShopNames
from scheduling.plan.shop_problem import part_id
from scheduling.plan.work_to_plan import WorkToPlan
from tests.scheduling.plan.one_quad import facts

TASKS, CREW, PARTS, SKILLS = (tuple(f"{k}{n}" for n in range(4)) for k in "TMPS")
"""What the drawn values call tasks, mechanics, parts and skills until they get their ids."""

SIGN_IN = ["may", "cost", "day", "3", "any", "ada", "ada~2", "with", "days", "0", "more"]
PEOPLE = ["May", "may", "Cost Day", "3", "Ada Brook", "any", "day 3", "O'Neil, jr.", "12.50 more"]
PART_NAMES = ["7.50-16", "12.5 L", "$9 filter", "oil filter #4", "day 3", "may", "1.00 more"]
TITLES = ["2 h check", "day 3", "cost", "Oil; big. Yes", "days 1 to 3", "any", "booked 1 to 2 (7)"]
TAGS = ["E:07", "D4", "cost", "may", "3", "day 2", "T0"]
SKILL_NAMES = ["any work", "day", "may", "welding 2.50", "cost"]

FIRST = date(2026, 3, 9)
"""Day 0 of the drawn shops; a week either side lies in the same year."""


def four(names):
    return st.lists(st.sampled_from(names), min_size=4, max_size=4)


def four_apart(names):
    return st.lists(st.sampled_from(names), min_size=4, max_size=4, unique=True)


@dataclass(frozen=True)
class Called:
    """What each id is called; people sign in as `accounts`, and machines wear `tags`."""

    titles: list[str]
    tags: list[str]
    people: list[str]
    parts: list[str]
    skills: list[str]
    site: str = "day 3 ranch"


NASTY = st.builds(
    Called, four(TITLES), four(TAGS), four(PEOPLE), four(PART_NAMES), four_apart(SKILL_NAMES)
)
PLAIN = Called(*([f"⟦{kind}{n}⟧" for n in range(4)] for kind in "acegi"), site="⟦site⟧")


@dataclass(frozen=True)
class Ids:
    """The ids of a shop's tasks, mechanics and stocked parts."""

    tasks: list[str]
    crew: list[str]
    parts: list[int]


NASTY_IDS = st.builds(
    Ids,
    four_apart(["s:E:07:oil", "s:D4:day 3", "s:cost:may", "f:3", "f:12", "may", "3", "cost"]),
    four_apart(SIGN_IN),
    st.lists(st.integers(1, 99), min_size=4, max_size=4, unique=True),
)
OPAQUE = Ids(
    [f"qz-task-{n}" for n in range(4)], [f"qz-crew-{n}" for n in range(4)], [9001, 9002, 9003, 9004]
)


def shop(ids, called, first=FIRST):
    """Facts of a shop with these ids, called so."""
    crew = zip(ids.crew, called.people, strict=True)
    work = zip(ids.tasks, called.titles, strict=True)
    stock = zip(ids.parts, called.parts, strict=True)
    return facts(
        horizon=Horizon(first, (8.0,) * 60, {}),
        workers=[
            Worker(n, name, who, frozenset({"any"}), (8.0,) * 60)
            for n, (name, who) in enumerate(crew)
        ],
        work=[
            WorkToPlan(key, title, n, 60, "any", (2, 3, 4), 10.0)
            for n, (key, title) in enumerate(work)
        ],
        machines={n: Rented(n, tag, 1, None, 100.0, 0.5, ()) for n, tag in enumerate(called.tags)},
        shelf=Shelf({}, {pk: Stock(pk, name, 1.0, ()) for pk, name in stock}, {}),
        sites={1: Yard(pk=1, name=called.site)},
    )


def names(ids, called, first=FIRST):
    return ShopNames(shop(ids, called, first))


def told(value, ids, called):
    """The value with these ids in the place of those that it was drawn with."""
    found = shop(ids, called)
    parts = [part_id(stock) for stock in found.shelf.stock.values()]
    plain = (*TASKS, *CREW, *PARTS, *SKILLS)
    known = dict(zip(plain, (*ids.tasks, *ids.crew, *parts, *called.skills), strict=True))
    return _deep(value, lambda name, leaf: known.get(leaf, leaf) if type(leaf) is str else leaf)


DAYS = {"day", "last_day", "barred_day", "days", "spans", "first_day"}


def later(value, by):
    """The value with all its days so many later."""
    return _deep(value, lambda name, x: x + by if name in DAYS and type(x) is int else x)


def _deep(value, change, name=""):
    if is_dataclass(value):
        return replace(
            value, **{f.name: _deep(getattr(value, f.name), change, f.name) for f in fields(value)}
        )
    if isinstance(value, tuple):
        return tuple(_deep(each, change, name) for each in value)
    return value if isinstance(value, Enum) else change(name, value)


def earlier(days):
    """Day 0 so many days earlier."""
    return FIRST - timedelta(days=days)


day = st.integers(0, 20)
task, mechanic, part, skill = map(st.sampled_from, (TASKS, CREW, PARTS, SKILLS))
money = st.floats(-5000, 5000).map(lambda x: round(x, 2))
hours = st.floats(0, 30).map(lambda x: round(x, 2))
spot = st.builds(Spot, day, mechanic)
tasks = st.lists(task, min_size=1, unique=True).map(tuple)

Kind = ConflictKind
WHAT = {
    **dict.fromkeys([Kind.FORERUNNER_WAITS, Kind.FORERUNNER_LATER, Kind.FOLLOWER_SOONER], task),
    **dict.fromkeys([Kind.PART_USED_UP, Kind.PART_COMES, Kind.PART_MAY_COME], part),
    Kind.SITE_CLOSED: st.just("1"),
}
"""What a conflict's `what` is; a booking or the shop unless it stands here."""


busy = st.builds(BusyMechanic, mechanic, hours, hours, st.just(()) | tasks)
crew = st.lists(busy, min_size=1, max_size=2).map(tuple)


def conflict_of(kind):
    what = WHAT.get(kind, st.just("4711"))
    return st.builds(Conflict, st.just(kind), day, day, what, mechanic, skill, hours, crew)


conflict = st.sampled_from(Kind).flatmap(conflict_of)


def relaxation_of(kind):
    what = {RelaxationKind.OVERTIME: mechanic, RelaxationKind.PART: part}.get(kind, st.just("4711"))
    amount, days = st.sampled_from([-1.0, 0.5, 1.0, 3.0]), st.tuples(day, day)
    return st.builds(Relaxation, st.just(kind), spot, amount, what, money, days, tasks)


relaxation = st.sampled_from(RelaxationKind).flatmap(relaxation_of)
term = st.tuples(st.sampled_from(["overdue", "visit", "trip", "blocked_booking"]), money)
reason = st.builds(
    PlaceReason,
    fixed=st.none() | st.sampled_from(FixedBy),
    other=st.none() | spot,
    more=st.lists(term, max_size=3).map(tuple),
    barred_day=st.none() | day,
    barred_saving=money,
    barred_by=st.none() | conflict,
    hour_worth=st.none() | money,
    sooner=st.none() | spot,
    sooner_more=money,
    together=st.just(()) | tasks,
    visit_saved=money,
    early_days=hours,
    early_money=money,
    late_days=hours,
    waits=st.booleans(),
    gives=st.lists(relaxation, max_size=2).map(tuple),
)
limit = st.builds(ClashLimit, st.sampled_from(LimitKind), day, st.none() | mechanic)
spans = st.lists(st.tuples(day, day), min_size=1, max_size=3).map(tuple)
clash = st.builds(
    Clash, task, limit, st.lists(st.builds(ClashDays, spans, conflict), max_size=3).map(tuple)
)
leaving = st.builds(
    Leaving, st.sampled_from(LeavingKind), spot, st.none() | conflict, st.just(()) | tasks
)
