"""What was said last of work under way."""

from datetime import timedelta

import pytest

from fleet.queries.under_way import last_words
from tests import factories
from tests.factories import NOON


@pytest.mark.django_db
def test_the_last_word_of_each_piece_of_work(django_assert_num_queries):
    factories.Progress(work_key="f:1", at=NOON, minutes_left=10)
    factories.Progress(work_key="f:1", at=NOON - timedelta(days=1), minutes_left=90)
    factories.Progress(work_key="f:2")
    with django_assert_num_queries(1):
        words = last_words(["f:1", "f:3"])
    assert {key: word.minutes_left for key, word in words.items()} == {"f:1": 10}
