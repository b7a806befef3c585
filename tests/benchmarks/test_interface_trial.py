"""The short form of the interface's trial: a few requests for each operation."""

import pytest

from tests.benchmarks.interface_trial import try_all

pytestmark = pytest.mark.django_db


def test_the_interface_does_what_it_says_of_itself():
    tried = try_all(cases=3, seed=3, each_one_way=True)
    assert tried.failures == {}
    assert len(tried.statuses) >= 8
    seen = {status for one in tried.statuses.values() for status in one}
    assert seen & {200, 201}  # what the description allows gets through
    assert 422 in seen


def test_an_answer_that_the_description_does_not_name_would_be_found(monkeypatch):
    monkeypatch.setattr("scheduling.interface.problem_details.PROBLEM", "text/plain")
    tried = try_all(cases=2, seed=3, each_one_way=True)
    assert any("UndefinedContentType" in named for named in tried.failures)
