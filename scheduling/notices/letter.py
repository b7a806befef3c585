"""Writing a notice: one context, two templates (plain text and HTML), links into the site."""

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy, override

from fleet.marks import mark_of
from fleet.models import Person
from fleet.tongues.both_languages import language_of_letter
from fleet.tongues.phrase_book import spoken

SUBJECT_LENGTH = 200

GLYPHS = {
    "held": ("\N{OCTAGONAL SIGN}", "#c01622"),
    "overdue": ("\N{BLACK SQUARE}", "#c01622"),
    "due": ("\N{BLACK UP-POINTING TRIANGLE}", "#b45300"),
    "coming": ("\N{BLACK DIAMOND}", "#806600"),
    "clear": ("\N{WHITE CIRCLE}", "#14803f"),
    "unknown": ("\N{EN DASH}", "#5f594b"),
}
"""State -> character of the mark's shape and its colour on white.

Mail programs drop drawings and style sheets, so the shape is a character.  It has no outline, so
orange and yellow are darker than on the site, to keep a contrast of 4.5 (WCAG 2.2, 1.4.3).
"""


@dataclass(frozen=True)
class Letter:
    """A notice as it is read."""

    subject: str
    text: str
    html: str


@dataclass(frozen=True)
class StateMark:
    """A state in a letter: its word, its sign in plain text, its shape and colour in HTML."""

    word: str
    sign: str | Promise
    glyph: str
    colour: str


def mark(state: str) -> StateMark:
    """Return the mark of a state for both kinds of letter."""
    known = mark_of(state)
    glyph, colour = GLYPHS.get(state, GLYPHS["unknown"])
    # The one sign that is a word is said in the language of the letter, when that is written.
    sign = format_lazy("[{}]", gettext_lazy("HELD")) if state == "held" else known.sign
    return StateMark(known.word, sign, glyph, colour)


def link(name: str, *args: Any) -> str:
    """Return the full address of a page of the site."""
    return f"{settings.BASE_URL}{reverse(name, args=args)}"


def language_for(person: Person) -> str:
    """Return the language in which a person's letters are written."""
    return language_of_letter(person.language, person.role)


def write(
    template: str, subject: str, context: dict[str, Any], language: str = settings.LANGUAGE_CODE
) -> Letter:
    """Fill both templates of a kind of notice; the subject becomes one short line.

    language: its reader's, whoever's press it is that brings the letter about.
    """
    base = f"scheduling/notices/{template}"
    with override(language):
        line = " ".join(spoken(subject).split())
        line = line if len(line) <= SUBJECT_LENGTH else line[: SUBJECT_LENGTH - 1] + "…"
        context = {"subject": line, "language": language, "notices_url": link("notices"), **context}
        return Letter(
            line,
            render_to_string(f"{base}.txt", context).strip() + "\n",
            render_to_string(f"{base}.html", context),
        )
