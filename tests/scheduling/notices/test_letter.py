"""Letters: marks by word and shape, full links, a subject of one line."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.utils.translation import get_language, override

from fleet.marks import MARKS
from scheduling.notices.letter import GLYPHS, SUBJECT_LENGTH, link, mark, write

LETTERS = Path(settings.ROOT) / "templates" / "scheduling" / "notices"


def _luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 definition."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("state", MARKS)
def test_every_state_has_a_word_a_sign_a_shape_and_a_colour_that_can_be_read(state):
    found = mark(state)
    assert found.word
    assert found.sign.startswith("[")
    contrast = (_luminance("#faf8f3") + 0.05) / (_luminance(found.colour) + 0.05)
    assert contrast >= 4.5  # WCAG 2.2, 1.4.3


def test_no_two_states_share_a_shape():
    assert len({glyph for glyph, _ in GLYPHS.values()}) == len(GLYPHS) == len(MARKS)


def test_links_are_full_addresses(settings):
    settings.BASE_URL = "https://fleet.example.org"
    assert link("machine", "SL-04").startswith("https://fleet.example.org/")


@pytest.mark.parametrize("subject", ["a\nb", "a\r\nBcc: b", "  a   b  "])
def test_a_subject_is_one_line(subject):
    letter = write("undelivered", subject, {})
    assert letter.subject == " ".join(subject.split())


class _Language:
    """Says in which language it is shown."""

    def __str__(self) -> str:
        return get_language() or ""


def test_a_letter_is_english_whoevers_press_brings_it_about():
    with override("es"):
        letter = write("lines", "Late", {"sentence": _Language()})
        assert get_language() == "es"
    assert letter.text.splitlines()[2] == "en"


def test_a_long_subject_is_cut():
    assert len(write("undelivered", "x" * 500, {}).subject) == SUBJECT_LENGTH


@pytest.mark.parametrize("path", sorted(LETTERS.glob("*.html")), ids=lambda path: path.name)
def test_a_letter_loads_nothing_and_runs_nothing(path):
    assert not re.search(r"<(img|script|link|iframe|style)|src=|url\(", path.read_text())
