"""Work under way."""

from datetime import date, timedelta

import pytest

from scheduling.plan.begun import Begun, Word, begun, load_words
from tests import factories as make
from tests.scheduling.cases import NOW, TODAY

FIRST, SECOND = date(2026, 3, 2), date(2026, 3, 3)
WORDS = [Word(7, FIRST, 240, 600), Word(8, SECOND, 300, 200)]


@pytest.mark.parametrize(
    ("words", "last_done", "standing"),
    [
        ([], None, None),
        (WORDS, None, Begun(8, SECOND, 540, 200)),
        (WORDS, date(2026, 3, 1), Begun(8, SECOND, 540, 200)),
        (WORDS, FIRST, Begun(8, SECOND, 300, 200)),  # what was said before it was done is over
        (WORDS, SECOND, None),
    ],
)
def test_the_last_word_since_the_work_was_done_tells_what_is_left(words, last_done, standing):
    assert begun(words, last_done) == standing


@pytest.mark.django_db
def test_words_of_a_shop_are_loaded_in_the_order_in_which_they_were_said(django_assert_num_queries):
    machine = make.Machine()
    make.Progress(machine=machine, work_key="f:1", at=NOW, minutes_left=10)
    make.Progress(machine=machine, work_key="f:1", at=NOW - timedelta(days=1), minutes_left=90)
    make.Progress(machine=machine, work_key="f:2", at=NOW + timedelta(days=1))  # not yet
    make.Progress(machine=machine, work_key="f:3", at=NOW - timedelta(days=366))  # given up
    make.Progress(work_key="f:4")  # of another shop
    with django_assert_num_queries(1):
        words = load_words(machine.yard.shop, NOW)
    said = [(word.day, word.minutes_left) for word in words["f:1"]]
    assert said == [(TODAY - timedelta(days=1), 90), (TODAY, 10)]
    assert set(words) == {"f:1"}
