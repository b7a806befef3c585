"""The letter with a link to a new password; the link is made as it is sent, and never kept."""

from html import escape

from django.utils.translation import override

from fleet.models import Person, Tongue
from fleet.tongues.phrase_book import spoken
from scheduling.notices.letter import Letter, language_for, write

PLACE = "(the link stands in the letter itself)"
"""What is kept, and shown on the Notices page, where the letter has its link."""


def password_letter(person: Person) -> Letter:
    """Write the letter with a place for the link."""
    subject = "Your new password: choose it by this link"
    language = language_for(person)
    context = {"person": person, "place": _place(language)}
    return write("password", subject, context, language)


def with_link(text: str, html: str, url: str) -> tuple[str, str]:
    """Put the link where it belongs, in both kinds of letter."""
    shown = f'<a href="{escape(url)}">{escape(url)}</a>'
    for language in Tongue.values:
        place = _place(language)
        text, html = text.replace(place, url), html.replace(place, shown)
    return text, html


def _place(language: str) -> str:
    with override(language):
        return spoken(PLACE)
