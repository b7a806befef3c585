"""A database made by any release is brought to now by `manage.py migrate`, and nothing is lost."""

import json
from pathlib import Path

import pytest

from tests.every_page import shown_keys
from tests.releases.kept import differences, plain
from tests.releases.make import FOLDER, LARGEST
from tests.releases.restored import restored
from tests.releases.same_coverings import lost_coverings
from tests.releases.same_sentences import other_sentences
from tests.releases.same_work import other_work

DUMPS = sorted(FOLDER.glob("*.sql.gz"))
each_release = pytest.mark.parametrize("dump", DUMPS, ids=lambda file: file.name[:-7])


@each_release
@pytest.mark.slow
@pytest.mark.timeout(900)
def test_it_is_migrated_with_every_row_kept_and_every_page_answers(dump: Path, tmp_path: Path):
    with restored(dump, tmp_path) as site:
        site.run("manage.py", "migrate", "--verbosity", "0")
        then, now = site.tables_then(), site.tables_now()
        assert differences(then, now) == []
        assert other_work(then, now) == []
        assert lost_coverings(then, now) == []
        said = json.loads(site.run("-m", "tests.releases.said_blocks"))
        assert list(other_sentences(then, said)) == []
        looked = json.loads(site.run("-m", "tests.releases.look"))
        assert looked["faults"] == []
        assert looked["unseen"] == []
        assert looked["seen"] > 100


@each_release
def test_a_dump_is_small(dump):
    assert dump.stat().st_size < LARGEST


def test_the_first_release_is_among_them():
    assert "0.1.0.sql.gz" in [dump.name for dump in DUMPS]


PIN = {"id": 3, "work_key": "s:Q-1:oil", "day": "2026-12-01"}
FLEET = {"fleet_machine": {41: {"tag": "Q-1"}}, "fleet_service": {7: {"code": "oil"}}}


def test_a_lost_row_is_told_by_what_stood_in_it():
    assert differences({"fleet_pin": {3: PIN}}, {"fleet_pin": {}}) == [
        "fleet_pin: the row id=3, work_key='s:Q-1:oil', day='2026-12-01' is lost"
    ]


def test_a_changed_value_and_a_lost_column_are_told():
    now = {"id": 3, "work_key": "s:Q-1:oil", "day": "2026-12-02"}
    (said,) = differences({"fleet_pin": {3: PIN}}, {"fleet_pin": {3: now}})
    assert said == "fleet_pin 3: day was '2026-12-01' and is '2026-12-02'"
    (said,) = differences({"fleet_pin": {3: PIN}}, {"fleet_pin": {3: {"id": 3, "day": PIN["day"]}}})
    assert said == "fleet_pin 3: there is no work_key any more, which was 's:Q-1:oil'"


@pytest.mark.parametrize(("key", "same"), [("m:41:7", True), ("m:7:41", False), ("", False)])
def test_a_key_that_names_other_work_is_told(key, same):
    then, now = dict(FLEET, fleet_pin={3: PIN}), {"fleet_pin": {3: {**PIN, "work_key": key}}}
    assert (other_work(then, now) == []) == same
    jobs = {
        "fleet_release": {1: {"jobs": '[{"work_key": "s:Q-1:oil"}, {"work_key": "s:Q-2:oil"}]'}}
    }
    fresh = {"fleet_release": {1: {"jobs": [{"work_key": key}, {"work_key": "s:Q-2:oil"}]}}}
    assert (other_work(FLEET | jobs, fresh) == []) == same


@pytest.mark.parametrize(
    ("page", "keys"),
    [
        ("<p>Move m:41:7 to Friday</p>", ["m:41:7"]),
        ("<td>s:Q-1:oil-change</td><td>f:12</td>", ["s:Q-1:oil-change", "f:12"]),
        ('<input name="work_key" value="m:41:7"> at 7:30, item:41:7', []),
    ],
)
def test_a_key_among_the_words_of_a_page_is_found(page, keys):
    assert shown_keys(page) == keys


def test_a_block_that_says_something_else_is_told():
    then = {"scheduling_block": {2: {"sentence": "Held by Ana since Mon 2 Mar: it stood too long"}}}
    assert not list(other_sentences(then, {"2": "Held by Ana since Mon 2 Mar: it sat too long."}))
    assert list(other_sentences(then, {"2": "Held since Mon 2 Mar."})) == [
        "block 2 said 'Held by Ana since Mon 2 Mar: it stood too long' and says "
        "'Held since Mon 2 Mar.'"
    ]


def test_a_service_that_covers_another_no_more_is_told():
    rows = ({"makeup_id": 4, "service_id": 7}, {"makeup_id": 4, "service_id": 8})
    then = {
        "fleet_interval": dict(enumerate(rows)),
        "fleet_service_covers": {1: {"from_service_id": 7, "to_service_id": 8}},
    }
    now = {"fleet_covering": {1: {"makeup_id": 4, "service_id": 7, "covered_id": 8}}}
    assert lost_coverings(then, now) == []
    assert lost_coverings(then, {}) == ["on make-up 4 service 7 covered 8"]


def test_a_lost_table_is_told():
    (said,) = differences({"fleet_pin": {3: PIN}}, {})
    assert said == "the table fleet_pin is gone, with its 1 rows"


@pytest.mark.parametrize(
    ("here", "there"),
    [
        (1, True),
        ("2026-11-25 15:00:00", "2026-11-25 15:00:00"),
        ('{"a": 1, "b": 2}', '{"b": 2, "a": 1}'),
        (12.5, 12.5),
        (None, None),
    ],
)
def test_what_two_databases_write_otherwise_is_the_same(here, there):
    assert plain(here, there) == plain(there, here)
