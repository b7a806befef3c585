"""Sentences of the planner with names that look like words, days, keys and money.

Three laws hold for every sentence: what an id is does not matter, only what it is called; a day is
told by its date, whatever its number; and a name enters as it is, wherever it stands.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.core.planner import Bottleneck, ConflictKind, RelaxationKind, Supply
from scheduling.wording import (
    as_clauses,
    clash_clauses,
    conflict_words,
    leaving_sentence,
    reason_sentence,
    relaxation_sentence,
    week_sentence,
)
from tests.scheduling.wording import nasty_names as drawn
from tests.scheduling.wording.nasty_names import (
    FIRST,
    NASTY,
    NASTY_IDS,
    OPAQUE,
    PLAIN,
    Called,
    earlier,
    later,
    names,
    told,
)


def clash_words(clash, words):
    return as_clauses(clash_clauses(clash, words))


supply = st.one_of(
    st.builds(Supply, st.just("mechanic"), drawn.mechanic, drawn.hours, drawn.hours, drawn.money,
              drawn.day),
    st.builds(Supply, st.just("skill"), drawn.skill, drawn.hours, drawn.hours, drawn.money,
              drawn.day),
)  # fmt: skip
week = st.builds(
    Bottleneck, st.just("shop"), st.just(0), drawn.day, drawn.day, st.none() | supply, st.just(())
)
SAID = [
    (drawn.conflict, conflict_words),
    (drawn.reason, reason_sentence),
    (drawn.relaxation, relaxation_sentence),
    (drawn.clash, clash_words),
    (drawn.leaving, leaving_sentence),
    (week, week_sentence),
]
FEW = settings(max_examples=40, deadline=None)
IDS = [each[1].__name__ for each in SAID]


@pytest.mark.parametrize(("values", "say"), SAID, ids=IDS)
@FEW
@given(data=st.data())
def test_no_id_is_ever_shown(values, say, data):
    value, called, ids = data.draw(values), data.draw(NASTY), data.draw(NASTY_IDS)
    nasty = say(told(value, ids, called), names(ids, called))
    assert nasty == say(told(value, OPAQUE, called), names(OPAQUE, called))
    assert "qz-" not in nasty
    assert "4711" not in nasty
    assert "#900" not in nasty


@pytest.mark.parametrize(("values", "say"), SAID, ids=IDS)
@FEW
@given(data=st.data(), by=st.integers(1, 60))
def test_no_number_of_a_day_is_ever_shown(values, say, data, by):
    value = told(data.draw(values), OPAQUE, PLAIN)
    assert say(later(value, by), names(OPAQUE, PLAIN, earlier(by))) == say(
        value, names(OPAQUE, PLAIN, FIRST)
    )


@pytest.mark.parametrize(("values", "say"), SAID, ids=IDS)
@FEW
@given(data=st.data())
def test_names_stand_whole_wherever_they_are(values, say, data):
    """A sentence is the one with plain marks for names, with each mark turned into its name."""
    value, called = data.draw(values), data.draw(NASTY)
    said = say(told(value, OPAQUE, PLAIN), names(OPAQUE, PLAIN))
    for mark, name in marks(called):
        said = said.replace(mark, name)
    assert "⟦" not in said
    assert say(told(value, OPAQUE, called), names(OPAQUE, called)) == said


def marks(called: Called):
    for plain, real in (
        (PLAIN.titles, called.titles), (PLAIN.tags, called.tags), (PLAIN.people, called.people),
        (PLAIN.parts, called.parts), (PLAIN.skills, called.skills), ([PLAIN.site], [called.site]),
    ):  # fmt: skip
        yield from zip(plain, real, strict=True)


@pytest.mark.parametrize("kind", ConflictKind)
@FEW
@given(data=st.data())
def test_each_kind_of_conflict_names_what_it_is_about(kind, data):
    """What the kind's words leave out would leave the reader without an answer."""
    conflict = told(data.draw(drawn.conflict_of(kind)), OPAQUE, PLAIN)
    words = conflict_words(conflict, names(OPAQUE, PLAIN))
    assert words
    said = names(OPAQUE, PLAIN)
    if kind in drawn.WHAT and kind is not ConflictKind.SITE_CLOSED:
        lookup = said.part if "part" in kind.value else said.task
        assert lookup(conflict.what) in words
    if kind in (ConflictKind.SKILL_NOT_HELD, ConflictKind.MECHANIC_AWAY):
        assert said.mechanic(conflict.mechanic) in words


@pytest.mark.parametrize("kind", RelaxationKind)
@FEW
@given(data=st.data())
def test_each_way_out_names_its_place(kind, data):
    way = told(data.draw(drawn.relaxation_of(kind)), OPAQUE, PLAIN)
    said = names(OPAQUE, PLAIN)
    place = f"{said.day(way.spot.day)} with {said.mechanic(way.spot.mechanic)}"
    assert place in relaxation_sentence(way, said)
