"""Finds English in what a page shows: words that our English sentences have and no Spanish one."""

import re
from functools import cache

from tests.fleet.tongues.gathered import LIBRARY_PO, PAGES_PO
from tests.fleet.tongues.po_files import read_po
from tests.sentences import Spoken

FILLED = re.compile(r"\{\w+\}|%\(\w+\)s|<[^>]+>")
"""What is filled into a sentence, and its marks."""
HEAD = re.compile(r"light dark|width=device-width, initial-scale=1|\{.*\}")
"""What the head of a page tells the browser and its scripts."""
TYPED = re.compile(r"<textarea\b.*?</textarea>", re.S)
"""What somebody typed and may change; it is shown as it was typed."""
WORD = re.compile(r"(?<![^\W_])[^\W\d_]+(?![^\W_]|-\d)")
"""A whole word; the letters before the number of a part are none."""
FOLDER = re.compile(r"(?<!\S)/[\w./-]+")
"""Where something lies on the disk: the names of folders are of no language."""


@cache
def tells() -> frozenset[str]:
    """Return the words of English, small: one of them gives a sentence away."""
    english, spanish = set[str](), set[str]()
    for one in (*read_po(PAGES_PO), *read_po(LIBRARY_PO)):
        english |= words_of(f"{one.english} {one.many}")
        spanish |= words_of(" ".join(one.said))
    return frozenset(english - spanish)


def words_of(text: str) -> set[str]:
    """Return the whole words of a text, small."""
    return {word for word in WORD.findall(FILLED.sub(" ", text).lower()) if len(word) > 1}


def english_in(page: str) -> list[str]:
    """Return the texts of a page that hold an English word, each with the words about it."""
    spoken = Spoken()
    spoken.feed(TYPED.sub("", page))
    found = [" ".join(said.split()) for _, said in spoken.found]
    return [
        said
        for said in found
        if not HEAD.fullmatch(said) and tells() & words_of(FOLDER.sub(" ", said))
    ]
