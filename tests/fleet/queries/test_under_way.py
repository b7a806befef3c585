"""What was said of work under way."""

from datetime import timedelta

import pytest

from fleet.queries.under_way import words_of
from tests import factories
from tests.factories import NOON


@pytest.mark.django_db
def test_the_words_of_each_piece_of_work_the_oldest_first(django_assert_num_queries):
    factories.Progress(work_key="f:1", at=NOON, minutes_left=10)
    factories.Progress(work_key="f:1", at=NOON - timedelta(days=1), minutes_left=90)
    factories.Progress(work_key="f:2")
    with django_assert_num_queries(1):
        words = words_of(["f:1", "f:3"])
    assert {key: [word.minutes_left for word in said] for key, said in words.items()} == {
        "f:1": [90, 10]
    }
