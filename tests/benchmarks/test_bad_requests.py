"""The short form of the bad requests: some of each role, over a few pages."""

import pytest

from tests.benchmarks.bad_requests import run

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("role", "count"), [("manager", 120), ("desk", 60), ("none", 20)])
def test_the_site_fails_on_no_bad_request(role, count, settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    tally = run(role, count, seed=7, every=12)
    assert tally.faults == {}
    assert tally.sent == count
    assert len(tally.statuses) > 2  # it did not ask one thing over and over


def test_a_page_that_fails_would_be_found(monkeypatch):
    def broken(*_):
        raise ValueError("spoiled")

    monkeypatch.setattr("fleet.views.sign_in_page.home_of", broken)
    monkeypatch.setattr("tests.every_page.pages", lambda: [every_home()])
    tally = run("manager", 12, seed=7)
    assert tally.counts.total() > 0
    assert all(where.startswith("ValueError [") for where in tally.faults)


def every_home():
    from tests.every_page import Page  # noqa: PLC0415

    return Page("home", "home", [{}])
