"""The letter with a link to a new password; the link is made as it is sent, and never kept."""

from html import escape

from fleet.models import Person
from scheduling.notices.letter import Letter, write

PLACE = "(the link stands in the letter itself)"
"""What is kept, and shown on the Notices page, where the letter has its link."""


def password_letter(person: Person) -> Letter:
    """Write the letter with a place for the link."""
    subject = "Your new password: choose it by this link"
    return write("password", subject, {"person": person, "place": PLACE})


def with_link(text: str, html: str, url: str) -> tuple[str, str]:
    """Put the link where it belongs, in both kinds of letter."""
    shown = f'<a href="{escape(url)}">{escape(url)}</a>'
    return text.replace(PLACE, url), html.replace(PLACE, shown)
