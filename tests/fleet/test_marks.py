"""State marks: shape, colour and word, never one alone."""

import re

import pytest

from fleet.marks import MARKS, mark_html, mark_of, shape_svg
from scheduling.models import State


def test_every_state_has_a_mark_and_no_mark_lacks_a_state():
    assert set(MARKS) == set(State.values)


@pytest.mark.parametrize("state", State.values)
def test_the_word_always_stands_beside_the_shape(state):
    words = re.sub(r"<svg.*?</svg>", "", mark_html(state), flags=re.DOTALL)
    assert State(state).label in words


def test_shapes_differ_so_that_colour_is_never_the_only_sign():
    bare = {re.sub(r'class="[^"]*"', "", mark.shape) for mark in MARKS.values()}
    assert len(bare) == len(MARKS)


def test_the_shape_is_hidden_from_screen_readers_since_the_word_is_there():
    assert 'aria-hidden="true"' in shape_svg("held")


def test_a_word_of_ones_own_takes_its_place_and_is_escaped():
    assert "may go &lt;out&gt;" in mark_html("clear", "may go <out>")
    assert "clear" not in re.sub(r"<svg.*?</svg>", "", mark_html("clear", "may go out"))


def test_an_unheard_of_state_is_shown_as_not_known():
    assert mark_of("exploded").word == "not known"


def test_nothing_is_styled_inline():
    assert not any("style=" in mark_html(state) for state in MARKS)
