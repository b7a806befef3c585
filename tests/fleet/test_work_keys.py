"""Keys of work: each reads back as what it was made of, and nothing else is read."""

import re
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fleet.work_keys import (
    LARGEST,
    RepairKey,
    ServiceKey,
    key_if_any,
    read_key,
    repair_key,
    service_key,
)

ROW = st.integers(1, LARGEST)
KEY = st.builds(ServiceKey, ROW, ROW) | st.builds(RepairKey, ROW)


def test_a_service_of_a_machine():
    assert service_key(41, 7) == "m:41:7"
    assert read_key("m:41:7") == ServiceKey(machine=41, service=7)


def test_a_finding():
    assert repair_key(12) == "f:12"
    assert read_key("f:12") == RepairKey(finding=12)


@given(KEY)
def test_a_key_reads_back_as_what_it_was_made_of(key):
    assert read_key(str(key)) == key


@given(KEY, KEY)
@example(ServiceKey(1, 12), ServiceKey(11, 2))
def test_two_keys_have_one_text_only_where_they_are_one(one, other):
    assert (str(one) == str(other)) == (one == other)


@given(KEY)
def test_a_key_fits_where_it_is_kept(key):
    assert len(str(key)) <= 120


@given(st.text() | st.from_regex(r"[mfs]:[0-9: ]*", fullmatch=True))
@example("m:41:7\n")
@example("f:٣")
@example("f:1" + 5000 * "0")
def test_what_is_read_is_what_would_be_written(text):
    key = key_if_any(text)
    assert key is None or str(key) == text


@given(st.text(st.characters(exclude_categories=["Cs"])), st.from_regex(r"[-\w]+", fullmatch=True))
def test_no_key_of_an_earlier_release_is_taken_for_one_of_today(tag, code):
    assert key_if_any(f"s:{tag}:{code}") is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "f:",
        "f:0",  # rows are numbered from 1
        "f:-1",
        "f:012",  # would be a second text of f:12
        "f:12 ",
        "f:9223372036854775808",  # one more than a row can have: a database would fail on it
        "m:41",
        "m:41:7:1",
        "m:E-01:7",
        "s:41:7",  # an earlier release's: tag "41", code "7"
        "h:3",
    ],
)
def test_nonsense_is_refused_with_a_sentence(text):
    with pytest.raises(ValueError, match=re.escape(f"{text!r} names no piece of work.")):
        read_key(text)


@pytest.mark.parametrize("number", [0, -1, True, 1.0, "7", None, LARGEST + 1])
def test_a_key_is_made_of_numbers_of_rows_alone(number):
    with pytest.raises(ValueError, match="is no service"):
        service_key(41, number)
    with pytest.raises(ValueError, match="is no finding"):
        repair_key(number)


BY_HAND = re.compile(r"""["'][msf]:(\{|["'])""")
"""A text that begins as a key does: what would make one, or look how one begins."""


def test_no_other_module_makes_a_key_or_looks_how_one_begins():
    root = Path(__file__).parents[2]
    modules = {path for half in ("fleet", "scheduling") for path in (root / half).rglob("*.py")}
    found = {
        path.relative_to(root).as_posix()
        for path in modules
        if "migrations" not in path.parts and BY_HAND.search(path.read_text("utf-8"))
    }
    assert found == {"fleet/work_keys.py"}
