"""Names that look like our own words, dates or patterns stand in sentences as they were typed.

What is said of a name is what is said of any other name, with the one put for the other: so no
code takes a sentence apart, fills a pattern twice or changes a letter of what people wrote.
"""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fleet.models import Finding, Hold, Machine, Person, Shop
from scheduling.availability.answer import answer
from scheduling.availability.counter_facts import StandingBooking
from scheduling.due.block_words import block_words
from scheduling.models import Block, MachineState, State
from tests.factories import NOON, TODAY
from tests.scheduling.availability.known import (
    DAYS,
    block,
    booking,
    day,
    machine,
    point,
    service,
    standing,
)

Kind, Reach = Block.Kind, Block.Reach
ANY = "\ue000"
"""A name that no one has: a letter of the private use area."""

NASTY = (
    "E:07", "Oil: change", "None", "cost", "may", "it may not go out until this is done",
    "brakes: it may not go out", "{machine}", "{0}", "%s", "%(tag)s", "100 %", 'say "when"', "it's",
    "2026-03-05", "Thu 5 Mar", "from today to Sun 8 Mar", "7.50-16", "ePump", "É", "#3",
    "s:Q:oil:1",
    "limit_day 4", "; and 2 more reasons", "a. B",
)  # fmt: skip
names = st.sampled_from(NASTY) | st.text(
    st.characters(codec="utf-8", exclude_characters=ANY), min_size=1, max_size=40
).filter(lambda name: name == name.strip() and not name.endswith("."))


def due(name: str, **more: Any):
    return point(service=service(name), **more)


def barring(kind: str, name: str, **more: Any) -> Block:
    return block(kind, 0, due_point=due(name, pk=5), **more)


def held(name: str) -> Block:
    hold = Hold(reason=name, placed_by=Person(username=f"by-{name}"))
    return block(Kind.HOLD, -3, hold=hold, due_point=None)


def promised(name: str, first: int, last: int, is_out: bool = False) -> StandingBooking:
    return StandingBooking(booking(first, last, customer=name), is_out)


FACTS: dict[str, Callable[[str], dict[str, Any]]] = {
    "held": lambda name: {"blocks": [held(name)]},
    "overdue": lambda name: {"blocks": [barring(Kind.OVERDUE, name)]},
    "idle": lambda name: {"blocks": [barring(Kind.IDLE, name)]},
    "past": lambda name: {"blocks": [barring(Kind.LIMIT, name, reach=Reach.PAST)]},
    "perhaps": lambda name: {"blocks": [barring(Kind.LIMIT, name, reach=Reach.PERHAPS)]},
    "ahead": lambda name: {"blocks": [barring(Kind.LIMIT, name, reach=Reach.AHEAD)]},
    "limit of a due point": lambda name: {"due_points": [due(name, hard=True, p10=day(5))]},
    "falls due": lambda name: {"due_points": [due(name, p50=day(4))]},
    "may fall due": lambda name: {"due_points": [due(name, p50=day(9), p10=day(4))]},
    "promised": lambda name: {"promises": [promised(name, 3, 5)]},
    "still out": lambda name: {"promises": [promised(name, -5, -1, is_out=True)]},
    "several": lambda name: {
        "blocks": [held(name), barring(Kind.OVERDUE, name)],
        "promises": [promised(name, 3, 5)],
        "due_points": [due(name, pk=6, p50=day(4))],
    },
    "a defect": lambda name: {"defects": [Finding(text=name, seen_at=NOON)]},
    "what is missing": lambda name: {
        "state": MachineState(state=State.UNKNOWN, missing=f"the interval of {name} is wrong")
    },
    "the tag": lambda name: {"machine": machine(tag=name)},
}


def said(about: str, name: str) -> list[str]:
    """Return all that a counter reads of a machine, today's question and a later one."""
    answers = [
        answer(standing(**FACTS[about](name)), days, TODAY)
        for days in (DAYS, type(DAYS)(TODAY, day(3)))
    ]
    return [
        words
        for one in answers
        for words in (one.sentence, one.why, one.why_head, *one.told, *one.untold, *one.cautions)
    ]


@pytest.mark.parametrize("about", list(FACTS))
@given(name=names)
@example(name="brakes: it may not go out")
@example(name="ePump: check")
def test_a_counter_says_of_any_name_the_same(about, name):
    assert said(about, name) == [words.replace(ANY, name) for words in said(about, ANY)]


@pytest.mark.parametrize("about", list(FACTS))
def test_the_name_is_really_said(about):
    assert any(ANY in words for words in said(about, ANY))


def of_block(kind: str, name: str) -> str:
    works = [
        {"service": 3, "day": "2026-03-06", "planned": None},
        {"service": 4, "day": "2026-03-07", "planned": "2026-03-04"},
    ]
    blocks = {
        Kind.HOLD: held(name),
        Kind.FALLS_DUE: Block(
            kind=kind, first_day=date(2026, 3, 5), last_day=date(2026, 3, 8), works=works
        ),
        Kind.IN_SHOP: Block(
            kind=kind, first_day=TODAY, last_day=day(2), shop=Shop(name=name), minutes=75
        ),
        Kind.RETIRED: Block(
            kind=kind, first_day=TODAY, machine=Machine(retired_on=TODAY, retired_why=name)
        ),
    }
    found = blocks.get(Kind(kind)) or barring(kind, name, reach=Reach.PAST)
    return block_words(found, TODAY, {3: name, 4: f"more {name}"})


@pytest.mark.parametrize("kind", Kind.values)
@given(name=names)
@example(name=": it may not go out")
def test_a_block_says_of_any_name_the_same(kind, name):
    assert of_block(kind, name) == of_block(kind, ANY).replace(ANY, name)
    assert ANY in of_block(kind, ANY)


def test_the_full_stop_of_what_somebody_typed_is_ours():
    assert of_block(Kind.HOLD, "brakes pull.").endswith(": brakes pull.")
    assert of_block(Kind.HOLD, "brakes pull").endswith(": brakes pull.")
