"""A missing service must not hide where every service is required."""

import pytest

from tests.require import require


def test_what_is_there_is_used():
    require("redis://127.0.0.1", "Redis")


def test_at_home_a_missing_service_skips(monkeypatch):
    monkeypatch.delenv("EVENER_REQUIRE_SERVICES", raising=False)
    with pytest.raises(pytest.skip.Exception, match="Redis is not there"):
        require(None, "Redis")


def test_where_all_are_required_a_missing_service_fails(monkeypatch):
    monkeypatch.setenv("EVENER_REQUIRE_SERVICES", "1")
    with pytest.raises(pytest.fail.Exception, match="Redis is required"):
        require("", "Redis")
