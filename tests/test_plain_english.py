"""What people read is what a rental yard would say: words that may not come back."""

import re

import pytest

from tests.sentences import Sentence, sentences

MANNERED = {
    "has not a": "has no …",
    "has not an": "has no …",
    "had not a": "had no …",
    "had not an": "had no …",
    "what bites": "cautions",
    "hours used of hours there": "hours used out of hours available",
    "is had by": "belongs to",
    "best possible": "cheapest possible",
    "not proven in the time": "there was no time to prove",
    "reckon": "count, work out",
    "reckoned": "worked out",
    "reckoning": "calculation",
    "to see to": "to work on",
    "hang a hold": "put a hold on it",
    "in the same hands": "with the same mechanic",
    "in the hands of": "by",
    "all the same": "anyway",
    "only the quick": "only those that fell due early",
    "spell of capacity": "busy or slack week",
    "spells of capacity": "busy and slack weeks",
    "lent hand": "borrowed mechanic",
    "lent hands": "borrowed mechanics",
    "whoever": "the person who, anyone who",
    "is believed": "can be right",
    "is no more": "is no longer",
    "are believed": "can be right",
    "not believed": "not used",
    "anew": "again",
    "promised to": "booked for",
    "nought": "zero",
    "hence": "so",
    "thus": "so",
    "henceforth": "from now on",
    "as far as the book says": "no record of it",
    "stand on the": "are on the",
    "stood on": "was on",
    "stood too long": "sat too long",
    "lies open": "is still open",
    "lies ahead": "is in the future",
    "mend the": "correct the",
    "made as it": "as delivered",
    "was to be back": "was due back",
    "let out against": "sent out despite",
    "the plan lacks": "the plan is missing",
    "fits your choices": "matches your filters",
    "wants a number": "takes a number",
    "is dead": "no longer works",
    "who has the": "anyone with the",
}
"""What sounds translated, and what a yard says instead."""


@pytest.fixture(scope="module")
def read() -> list[Sentence]:
    return list(sentences())


@pytest.mark.parametrize("words", MANNERED)
def test_mannered_words_do_not_come_back(read, words):
    # a word may not begin or end inside another: "thus" is not in "enthusiast"
    sought = re.compile(rf"(?<![\w-]){re.escape(words)}(?![\w-])", re.I)
    found = [f"{each.file}:{each.line}: {each.text}" for each in read if sought.search(each.text)]
    assert found == [], f"say “{MANNERED[words]}” instead of “{words}”"


def test_ranges_of_dates_come_true_and_only_machines_are_held(read):
    """One word for one thing: a machine is held by a hold; a range was right or wrong."""
    sought = re.compile(r"\branges?\b.*\bheld\b|\bheld\b.*\branges?\b", re.I)
    assert [each for each in read if sought.search(each.text)] == []


def test_the_collector_hears_templates_code_and_fixtures(read):
    files = {each.file for each in read}
    assert "templates/scheduling/bench.html" in files
    assert "fleet/validation/verdict_words.py" in files
    assert "fixtures/cautions.json" in files
    assert any("Every machine looked after before it goes out" in each.text for each in read)
