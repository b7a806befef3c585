"""GET /metrics: Prometheus' text format, for who sends the key."""

import re

import pytest

from scheduling.queries.site_figures import Gauge
from scheduling.views.metrics import as_text
from tests import consequences, factories
from tests.factories import NOON

pytestmark = pytest.mark.django_db
KEY = "a-key-that-is-long"
LINE = re.compile(r'[a-z_]+(\{[a-z_]+="(?:[^"\\\n]|\\.)*"(,[a-z_]+="[^"]*")*\})? [-+0-9.e]+')


@pytest.fixture
def asked(client, settings):
    settings.METRICS_KEY = KEY
    return lambda key=KEY: client.get("/metrics", headers={"Authorization": f"Bearer {key}"})


def test_it_tells_what_is_owed_and_how_old_nights_and_copies_are(asked):
    shop = factories.Machine(tag="SL-04").yard.shop
    consequences.NightlyRun(shop=shop)
    consequences.KeptCopy(read_back_at=NOON)
    consequences.OutboxEntry(attempts=4)
    consequences.Notice()
    answer = asked()
    assert answer["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"
    lines = answer.text.splitlines()
    assert all(line.startswith("# ") or LINE.fullmatch(line) for line in lines), lines
    assert 'evener_owed{kind="send"} 1' in lines
    assert 'evener_owed_tries{kind="send"} 4' in lines
    assert "evener_letters_waiting 1" in lines
    assert f'evener_night_seconds{{shop="{shop.pk}"}} 1.5' in lines
    assert any(line.startswith("evener_copy_age_seconds ") for line in lines)
    assert "SL-04" not in answer.text
    assert shop.name not in answer.text


@pytest.mark.parametrize("key", ["", "another", KEY[:-1]])
def test_without_the_key_it_tells_nothing(asked, key):
    answer = asked(key)
    assert (answer.status_code, "evener" in answer.text) == (401, False)


def test_where_no_key_is_set_there_is_no_such_page(client, settings):
    settings.METRICS_KEY = ""
    answer = client.get("/metrics", headers={"Authorization": "Bearer "})
    assert answer.status_code == 404


def test_a_label_is_escaped():
    text = as_text([Gauge("one", "a figure", {(("said", 'a "b" \\ c\nd'),): 1.5})])
    assert text.splitlines()[2] == r'one{said="a \"b\" \\ c\nd"} 1.5'
