"""Finds English in what a page shows: words that hold every English sentence together."""

import re

from tests.sentences import Spoken

TELLS = frozenset(
    [
        "the",
        "and",
        "of",
        "is",
        "are",
        "was",
        "were",
        "be",
        "been",
        "to",
        "this",
        "that",
        "these",
        "those",
        "with",
        "for",
        "from",
        "not",
        "it",
        "its",
        "their",
        "there",
        "at",
        "by",
        "or",
        "but",
        "if",
        "when",
        "what",
        "which",
        "who",
        "where",
        "than",
        "then",
        "they",
        "you",
        "your",
        "has",
        "have",
        "had",
        "will",
        "would",
        "can",
        "may",
        "must",
        "on",
        "off",
        "into",
        "out",
        "up",
        "about",
        "after",
        "before",
        "since",
        "until",
        "more",
        "most",
        "all",
        "any",
        "none",
        "other",
        "first",
        "last",
        "next",
        "back",
        "here",
        "now",
        "day",
        "days",
        "done",
        "left",
    ]
)
"""Words of English that Spanish does not have; one of them gives a sentence away."""


TYPED = re.compile(r"<textarea\b.*?</textarea>", re.S)
"""What somebody typed and may change; it is shown as it was typed."""
WORD = re.compile(r"(?<![^\W_])[^\W\d_]+(?![^\W_]|-\d)")
"""A whole word; the letters before the number of a part are none."""


def english_in(page: str) -> list[str]:
    """Return the texts of a page that hold an English word, each with the words about it."""
    spoken = Spoken()
    spoken.feed(TYPED.sub("", page))
    found = [" ".join(said.split()) for _, said in spoken.found]
    return [said for said in found if TELLS & set(WORD.findall(said.lower()))]
