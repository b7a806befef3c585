"""A notice as an Internet message (RFC 5322) in plain text and HTML."""

from email.utils import format_datetime
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMultiAlternatives

from scheduling.models import Notice


def message(notice: Notice) -> EmailMultiAlternatives:
    """Make the message; made twice from one notice it is the same message.

    Auto-Submitted keeps out-of-office programs from answering (RFC 3834 section 5).
    """
    headers = {
        "Message-ID": message_id(notice),
        "Date": format_datetime(notice.made_at),
        "Auto-Submitted": "auto-generated",
    }
    mail = EmailMultiAlternatives(
        notice.subject, notice.text, to=[notice.person.email], headers=headers
    )
    mail.attach_alternative(notice.html, "text/html")
    return mail


def message_id(notice: Notice) -> str:
    """Return an identifier that follows from the notice's mark, so that a repeat can be told."""
    return f"<{notice.mark.hex}@{urlsplit(settings.BASE_URL).hostname}>"
